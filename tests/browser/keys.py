"""A person at the keyboard alone: Tab, Space, Enter, arrows, and what has the focus."""

from __future__ import annotations

from playwright.sync_api import Page

MOST_TABS = 250
FOCUSED = """() => {
  const one = document.activeElement;
  if (!one || one === document.body) return null;
  const style = getComputedStyle(one), around = one.closest(".pick label");
  const label = one.labels && one.labels.length ? one.labels[0].innerText : "";
  const legend = one.closest("fieldset")?.querySelector("legend")?.innerText || "";
  return {
    name: (label || one.getAttribute("aria-label") || one.innerText || one.textContent || one.id)
      .replace(/\\s+/g, " ").trim(),
    legend: legend.replace(/\\s+/g, " ").trim(),
    type: one.type || one.tagName.toLowerCase(),
    place: [...document.querySelectorAll("*")].indexOf(one),
    seen: [style, around && getComputedStyle(around)].some(it => it && it.outlineStyle !== "none"
      && parseFloat(it.outlineWidth) > 0) || getComputedStyle(one, "::before").outlineStyle !== "none"
      // A part of a drawing shows the focus at its outline.
      || [...one.querySelectorAll(".outline, .touch")].map(it => getComputedStyle(it))
        .some(it => it.outlineStyle !== "none"),
  };
}"""


class LostFocus(AssertionError):
    """What was looked for is not reached by Tab."""


class Keys:
    """Moves through one page by keyboard."""

    def __init__(self, page: Page) -> None:
        self.page = page

    @property
    def focused(self) -> dict | None:
        return self.page.evaluate(FOCUSED)

    def press(self, *keys: str) -> None:
        for key in keys:
            self.page.keyboard.press(key)

    def to(self, name: str, *, within: str = "") -> dict:
        """Go on by Tab to the next stop whose name begins so; `within`: whose group does."""
        for _ in range(MOST_TABS):
            self.press("Tab")
            stop = self.focused
            if stop and stop["name"].startswith(name) and stop["legend"].startswith(within):
                return stop
        raise LostFocus(f"'{name}' is not reached by Tab on {self.page.url}")

    def type_into(self, name: str, text: str) -> None:
        self.to(name)
        self.page.keyboard.type(text)

    def pick(self, group: str, choice: str) -> None:
        """Go to a group of choices and take one: Space on the first, arrows for the next ones."""
        self.to("", within=group)
        self.press("Space")
        for _ in range(MOST_TABS):
            if self.focused["name"].startswith(choice):
                return
            self.press("ArrowDown")
        raise LostFocus(f"'{choice}' is not among the choices of '{group}'")

    def tick(self, name: str) -> None:
        self.to(name)
        self.press("Space")

    def follow(self, name: str) -> None:
        """Go to a link or a button and press Enter on it."""
        self.to(name)
        self.enter()

    def enter(self) -> None:
        with self.page.expect_navigation():
            self.press("Enter")
