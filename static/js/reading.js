// The one-line reading: while typing, say what was read, what it should be, and where it falls.
// A hint only. The server reads the line again and computes the verdict that counts.
"use strict";

(() => {
  const LINE = /^(?:(.*?)[\s,:]+)?([-+\u2212]?(?:\d+(?:[.,]\d*)?|[.,]\d+))\s*([^\d\s]\S*)?$/u;
  const PREFIX = { M: 1e6, k: 1e3, "": 1, c: 1e-2, m: 1e-3, "\u00b5": 1e-6, "\u03bc": 1e-6, u: 1e-6 };
  const SCALED = new Set(["V", "A", "\u03a9", "ohm", "Hz", "Pa", "s", "W"]);
  const WORDS = {
    within: ["within", "within", "within"],
    below: ["outside", "under", "outside, below"],
    above: ["outside", "over", "outside, above"],
    none: ["none", "none", "no verdict"],
  };

  const split = (unit) => {
    const text = unit.replace("\u2126", "\u03a9");
    if (SCALED.has(text)) return [1, text];
    const [first, rest] = [text.slice(0, 1), text.slice(1)];
    return first in PREFIX && SCALED.has(rest) ? [PREFIX[first], rest] : [1, text];
  };

  const sameOhm = (unit) => (unit === "ohm" ? "\u03a9" : unit);

  const read = (text) => {
    const found = LINE.exec(text.trim());
    if (!found) return null;
    const number = Number(found[2].replace("\u2212", "-").replace(",", "."));
    return Number.isFinite(number) ? { point: found[1] || "", typed: found[2], number, unit: found[3] || "" } : null;
  };

  const judge = (reading, form) => {
    const { lo, hi, unit } = form.dataset;
    if (lo === "" && hi === "") return "none";
    const [scale, base] = split(reading.unit);
    const [limitScale, limitBase] = split(unit);
    if (sameOhm(base) !== sameOhm(limitBase)) return "none";
    const value = (reading.number * scale) / limitScale;
    const slack = 1e-12 * Math.abs(value);
    if (lo !== "" && value < Number(lo) - slack) return "below";
    if (hi !== "" && value > Number(hi) + slack) return "above";
    return "within";
  };

  const sign = (outcome) => {
    const [kind, shape, word] = WORDS[outcome];
    const space = "http://www.w3.org/2000/svg";
    const span = document.createElement("span");
    span.className = "verdict";
    span.dataset.v = kind;
    const svg = document.createElementNS(space, "svg");
    svg.setAttribute("aria-hidden", "true");
    const use = document.createElementNS(space, "use");
    use.setAttribute("href", `#v-${shape}`);
    svg.append(use);
    span.append(svg, word);
    return span;
  };

  const show = (form, input) => {
    const heard = form.querySelector(".heard");
    const part = (name) => heard.querySelector(`[data-heard="${name}"]`);
    if (!input.value.trim()) {
      heard.hidden = true;
      return;
    }
    heard.hidden = false;
    const reading = read(input.value);
    const point = (reading && reading.point) || form.dataset.point;
    part("limits").textContent = form.dataset.limits;
    if (!reading) part("as").textContent = "nothing yet: number, then unit";
    else if (!reading.unit) part("as").textContent = `${reading.typed}, no unit yet`;
    else part("as").textContent = [`${reading.typed} ${reading.unit}`, point].filter(Boolean).join(", ");
    part("verdict").replaceChildren(sign(reading && reading.unit ? judge(reading, form) : "none"));
  };

  for (const form of document.querySelectorAll("form[data-reading]")) {
    const input = form.querySelector("input:not([type=hidden])");
    if (!input || !form.querySelector(".heard")) continue;
    let pause;
    input.addEventListener("input", () => {
      clearTimeout(pause);
      pause = setTimeout(() => show(form, input), 250);
    });
    input.addEventListener("put-back", () => show(form, input));
    show(form, input);
  }
})();
