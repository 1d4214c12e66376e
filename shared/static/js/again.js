// Something that is being done: look again until it is done. Without this script a link does the same.
(() => {
  "use strict";

  const SECONDS = 2;

  const look = async (box) => {
    try {
      const answer = await fetch(location.href, { credentials: "same-origin" });
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      const now = page.getElementById(box.id);
      if (!answer.ok || !now) return;
      if (box.innerHTML !== now.innerHTML) box.replaceChildren(...now.childNodes);
      if (!now.hasAttribute("data-again")) return;
    } catch {
      // No connection: look again later.
    }
    setTimeout(() => look(box), SECONDS * 1000);
  };

  for (const box of document.querySelectorAll("[data-again]")) setTimeout(() => look(box), SECONDS * 1000);
})();
