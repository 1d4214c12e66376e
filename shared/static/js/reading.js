// The one-line reading: while typing, say what was read, what it should be, and where it falls.
// A hint only. The server reads the line again and computes the verdict that counts.
"use strict";

(() => {
  // The commonest lines that the server reads: 12.31 V; 12,31; 5.3 mV @ fuse 14; fuse 14 5.3 mV; 4k7; OL.
  // Bounds, ranges, tolerances, fractions and the rest are named as such, and judged by the server alone.
  const NUMBER = /^([+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+))\s*([^\d\s].*)?$/u;
  const LETTER_AS_POINT = /^(\d+)([RrkKM])(\d+)$/u;
  const POINT_FIRST = /^(\p{L}[^@]*?)[\s,:]+([+-]?(?:\d[\d.,]*|[.,]\d+)\s*[^\d\s].*)$/u;
  const OVER_RANGE = /^(o\.?\s?l\.?|o\/l|over[\s-]?(range|limit|load)|\u221e)$/iu;
  const LEFT_TO_SERVER = /^[<>\u2264\u2265]|\u00b1|\+\/-|\+-|\d\s*\/\s*\d|[\u00bc-\u00be\u215b-\u215e]|\d[eE][+-]?\d|\d\s*(?:to|\.\.\.?|-)\s*[+-]?[\d.]|^(?:less|more|greater|over|under|above|below|at|minus)\s/u;
  const UNCLEAR_COMMA = /^[+-]?0*[1-9]\d*,\d{3}$/u;
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

  // A bare prefix stands for the unit that the test asks for: 1.2 M is 1.2 M\u03a9 where ohms are asked for.
  const prefixed = (unit, asked) => {
    const base = sameOhm(split(asked)[1]);
    return /^[kKMm\u00b5\u03bcu]$/u.test(unit) && ["V", "A", "\u03a9", "Hz", "W"].includes(base) ? unit.replace("K", "k") + base : unit;
  };

  const read = (text, form) => {
    const [body, named] = text.trim().split(/\s*@\s*/, 2);
    const plain = body.replace(/[\u2212\u2013]/g, "-").replace(/\s+/g, " ");
    if (OVER_RANGE.test(plain)) return { point: named || "", said: "over range", number: null, unit: "" };
    if (LEFT_TO_SERVER.test(plain)) return { point: named || "", said: plain, number: null, unit: "" };
    const leading = named ? null : POINT_FIRST.exec(plain);
    const rest = leading ? leading[2] : plain;
    const letter = LETTER_AS_POINT.exec(rest);
    const found = letter ? [rest, `${letter[1]}.${letter[3]}`, `${letter[2].replace(/r/i, "").replace("K", "k")}\u03a9`] : NUMBER.exec(rest);
    if (!found || UNCLEAR_COMMA.test(found[1])) return null;
    const unit = prefixed((found[2] || "").trim(), form.dataset.unit) || form.dataset.unit;
    const number = Number(found[1].replace(",", "."));
    const said = `${found[1].replace(",", ".").replace("-", "\u2212")} ${unit}`.trim();
    return Number.isFinite(number) ? { point: named || (leading ? leading[1] : ""), said, number, unit } : null;
  };

  const judge = (reading, form) => {
    const { lo, hi, unit } = form.dataset;
    if (reading.number === null || (lo === "" && hi === "")) return "none";
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
    const reading = read(input.value, form);
    const point = (reading && reading.point) || form.dataset.point;
    part("limits").textContent = form.dataset.limits;
    if (!reading) part("as").textContent = "not clear yet: number, then unit";
    else part("as").textContent = [reading.said, point].filter(Boolean).join(", ");
    part("verdict").replaceChildren(sign(reading ? judge(reading, form) : "none"));
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
