// Nothing typed is lost. A form with data-draft keeps its text on this device until it was sent and answered.
// A page that comes back without the text says so and offers it; it never overwrites what stands there.
"use strict";

(() => {
  const DAYS_KEPT = 14;
  const PREFIX = `holdfast:${document.body.dataset.person || "-"}:`;
  const SENT = `${PREFIX}sent`;
  const SKIPPED = new Set(["hidden", "password", "file", "submit", "button", "reset"]);

  const store = (() => {
    try {
      localStorage.setItem(`${PREFIX}try`, "1");
      localStorage.removeItem(`${PREFIX}try`);
      return localStorage;
    } catch {
      return null;
    }
  })();
  if (!store) return;

  const key = (form) => `${PREFIX}draft:${form.dataset.draft}`;
  const fields = (form) => [...form.elements].filter((field) => field.name && !SKIPPED.has(field.type));

  const typed = (form) => {
    const values = {};
    for (const field of fields(form)) {
      if (field.type === "checkbox" || field.type === "radio") {
        if (field.checked) (values[field.name] ||= []).push(field.value);
      } else if (field.multiple) values[field.name] = [...field.selectedOptions].map((option) => option.value);
      else values[field.name] = field.value;
    }
    return values;
  };

  const putBack = (form, values) => {
    for (const field of fields(form)) {
      const value = values[field.name];
      if (field.type === "checkbox" || field.type === "radio") field.checked = (value || []).includes(field.value);
      else if (value === undefined) continue;
      else if (field.multiple) for (const option of field.options) option.selected = value.includes(option.value);
      else field.value = value;
      field.dispatchEvent(new Event("put-back"));
    }
  };

  const kept = (form) => {
    try {
      return JSON.parse(store.getItem(key(form)));
    } catch {
      return null;
    }
  };

  const button = (text, act) => {
    const made = document.createElement("button");
    made.type = "button";
    made.className = "btn";
    made.textContent = text;
    made.addEventListener("click", act);
    return made;
  };

  const say = (form, text, ...acts) => {
    form.querySelector(".typed")?.remove();
    const line = document.createElement("div");
    line.className = "typed";
    line.setAttribute("role", "status");
    const words = document.createElement("p");
    words.textContent = text;
    line.append(words, ...acts);
    form.prepend(line);
    return line;
  };

  const offer = (form, draft) => {
    const at = new Date(draft.at).toLocaleString("en-GB", { weekday: "short", hour: "2-digit", minute: "2-digit" });
    const line = say(
      form,
      `Typed here ${at} and not kept yet.`,
      button("Put it back", () => {
        putBack(form, draft.values);
        line.remove();
        fields(form)[0]?.focus();
      }),
      button("Throw it away", () => {
        store.removeItem(key(form));
        line.remove();
      }),
    );
  };

  // A form is answered when the next page brings a success line. An error line, or none at all, keeps the draft.
  const answered = document.querySelector('.messages [data-level="success"]') !== null;
  const sent = store.getItem(SENT);
  if (sent && answered) store.removeItem(sent);
  if (sent) store.removeItem(SENT);

  const tooOld = Date.now() - DAYS_KEPT * 24 * 3600 * 1000;
  for (const name of Object.keys(store)) {
    if (!name.startsWith(`${PREFIX}draft:`)) continue;
    try {
      if (JSON.parse(store.getItem(name)).at < tooOld) store.removeItem(name);
    } catch {
      store.removeItem(name);
    }
  }

  for (const form of document.querySelectorAll("form[data-draft]:not([data-draft=''])")) {
    const start = JSON.stringify(typed(form));
    const draft = kept(form);
    if (draft && JSON.stringify(draft.values) !== start && !form.querySelector("[aria-invalid]")) offer(form, draft);

    form.addEventListener("input", () => {
      form.querySelector(".typed")?.remove();
      const values = typed(form);
      if (JSON.stringify(values) === start) store.removeItem(key(form));
      else store.setItem(key(form), JSON.stringify({ at: Date.now(), values }));
    });

    form.addEventListener("submit", (event) => {
      // A form with data-resend is kept and sent again by resend.js.
      if (navigator.onLine === false && !("resend" in form.dataset)) {
        event.preventDefault();
        say(form, "No connection. What you typed is kept on this device: press again when the connection is back.");
        return;
      }
      store.setItem(SENT, key(form));
    });
  }
})();
