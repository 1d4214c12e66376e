// What was sent and not answered is kept on this device and sent again, once: the form carries a key, and the
// server keeps one key with one content once. Forms with data-resend; its value names what is sent.
"use strict";

(() => {
  const PREFIX = `holdfast:${document.body.dataset.person || "-"}:`;
  const QUEUE = `${PREFIX}waiting`;
  const SECONDS_BETWEEN = 20;
  const store = (() => {
    try {
      localStorage.getItem(QUEUE);
      return localStorage;
    } catch {
      return null;
    }
  })();
  if (!store || !document.body.dataset.person) return;

  const read = () => {
    try {
      return JSON.parse(store.getItem(QUEUE)) || [];
    } catch {
      return [];
    }
  };
  const write = (items) => (items.length ? store.setItem(QUEUE, JSON.stringify(items)) : store.removeItem(QUEUE));
  const change = (key, values) => write(read().map((item) => (item.key === key ? { ...item, ...values } : item)));
  const drop = (key) => write(read().filter((item) => item.key !== key));

  const newKey = () => {
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    return [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  };

  const said = (form, pressed) => {
    if (pressed && pressed.name) return [form.dataset.resend, pressed.textContent.trim()].filter(Boolean).join(": ");
    const typed = form.querySelector('input:not([type="hidden"]):not([type="checkbox"]):not([type="radio"])');
    return [form.dataset.resend, typed && typed.value.trim()].filter(Boolean).join(": ");
  };

  // The button is part of what is sent: pressing an outcome is the reading.
  const taken = (form, pressed) => {
    const body = new URLSearchParams(new FormData(form, pressed));
    body.delete("csrfmiddlewaretoken");
    const { draft } = form.dataset;
    return { key: body.get("sent"), action: form.action, body: body.toString(), says: said(form, pressed), draft, state: "sent" };
  };

  const put = (item) => write([...read().filter((other) => other.key !== item.key), item]);

  // The box that says what waits, and why.
  const box = document.createElement("section");
  box.className = "waiting";
  box.setAttribute("role", "status");
  box.setAttribute("aria-label", "Kept on this device");

  const line = (item) => {
    const row = document.createElement("li");
    row.textContent = item.says;
    if (item.state === "asked") {
      const link = document.createElement("a");
      link.href = item.action;
      link.textContent = "Open it and answer";
      row.append(" – there is a question about it. ", link);
      link.addEventListener("click", () => {
        const values = Object.fromEntries(new URLSearchParams(item.body));
        if (item.draft) store.setItem(`${PREFIX}draft:${item.draft}`, JSON.stringify({ at: Date.now(), values }));
        const address = new URL(item.action, location.href);
        for (const [name, value] of new URLSearchParams(item.body)) if (name !== "sent") address.searchParams.append(name, value);
        link.href = address.href;
        drop(item.key);
      });
    }
    return row;
  };

  const show = (done = []) => {
    const waits = read().filter((item) => item.state !== "sent");
    if (!waits.length && !done.length) {
      box.remove();
      return;
    }
    const parts = [];
    if (done.length) {
      const kept = document.createElement("p");
      kept.textContent = `Sent now and kept: ${done.join("; ")}.`;
      parts.push(kept);
    }
    if (waits.length) {
      const words = document.createElement("p");
      const signedOut = waits.some((item) => item.state === "signed-out");
      words.textContent = signedOut
        ? "Kept on this device. Sign in again, then it is sent:"
        : "Kept on this device and sent as soon as the shop’s server answers:";
      const list = document.createElement("ul");
      list.append(...waits.map(line));
      const again = document.createElement("button");
      again.type = "button";
      again.className = "btn";
      again.textContent = "Try now";
      again.addEventListener("click", () => flush());
      parts.push(words, list, again);
    }
    box.replaceChildren(...parts);
    if (!box.isConnected) document.querySelector("main").prepend(box);
  };

  const token = () => (document.querySelector("[name=csrfmiddlewaretoken]") || {}).value || "";

  const send = async (item) => {
    const body = new URLSearchParams(item.body);
    body.set("csrfmiddlewaretoken", token());
    const answer = await fetch(item.action, { method: "POST", body, credentials: "same-origin" });
    if (answer.redirected) return new URL(answer.url).pathname.startsWith("/signin") ? "signed-out" : "kept";
    if (answer.status === 403) return "signed-out";
    return answer.status < 500 ? "asked" : "waiting";
  };

  let busy = false;
  const flush = async () => {
    if (busy || navigator.onLine === false) return;
    busy = true;
    const done = [];
    for (const item of read().filter((one) => one.state !== "asked")) {
      try {
        const state = await send(item);
        if (state === "kept") {
          drop(item.key);
          if (item.draft) store.removeItem(`${PREFIX}draft:${item.draft}`);
          done.push(item.says);
        } else change(item.key, { state });
        if (state === "signed-out") break;
      } catch {
        change(item.key, { state: "waiting" });
        break;
      }
    }
    busy = false;
    show(done);
  };

  for (const form of document.querySelectorAll("form[data-resend]")) {
    form.addEventListener("submit", (event) => {
      const item = taken(form, event.submitter);
      if (!item.key) return;
      if (navigator.onLine !== false) {
        put(item);
        return;
      }
      event.preventDefault();
      event.stopImmediatePropagation();
      put({ ...item, state: "waiting" });
      if (item.draft) store.removeItem(`${PREFIX}draft:${item.draft}`);
      form.reset();
      form.elements.sent.value = newKey();
      show();
      const first = form.querySelector('input:not([type="hidden"]), button');
      first.dispatchEvent(new Event("put-back"));
      first.focus();
    });
  }

  // A page with an answer or a question on it answers what was sent last; what it does not answer is sent again.
  const answered = document.querySelector('.messages [data-level="success"], main [aria-invalid="true"], .errors');
  if (answered) write(read().filter((item) => item.state !== "sent"));
  window.addEventListener("online", flush);
  window.addEventListener("pageshow", (event) => event.persisted && flush());
  setInterval(() => read().length && flush(), SECONDS_BETWEEN * 1000);
  show();
  flush();
})();
