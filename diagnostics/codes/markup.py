"""Reports saved as a web page: the same lines and cells without the tags."""

from __future__ import annotations

import html
import re

_IS_PAGE = re.compile(r"<(?:!doctype html|html|table|tr|td|br)\b", re.I)
_TAG = re.compile(r"<(/?)(\w++)[^<>]*+>")
_NOT_SHOWN = (("<!--", "-->"), ("<script", "</script>"), ("<style", "</style>"))
_BLOCKS = {
    "tr",
    "p",
    "div",
    "li",
    "ul",
    "ol",
    "table",
    "br",
    "h1",
    "h2",
    "h3",
    "h4",
    "h5",
    "h6",
    "title",
    "dd",
    "dt",
}


def lines_of_markup(text: str) -> list[tuple[int, str]]:
    """Return the lines of a web page with the numbers they have in its source; none where it is no page."""
    if not _IS_PAGE.search(text[:20_000]):
        return []
    for start, end in _NOT_SHOWN:
        text = _without(text, start, end)
    lines: list[tuple[int, str]] = []
    current, number, place = "", 1, 0
    for match in _TAG.finditer(text):
        current += _flat(text[place : match.start()])
        number_after = number + text.count("\n", place, match.end())
        name = (match.group(2) or "").lower()
        if name in _BLOCKS:
            lines.append((number, html.unescape(current).strip("\n\r ")))
            current = ""
        elif name in ("td", "th") and not match.group(1) and current.strip():
            current += "\t"
        number, place = number_after, match.end()
    lines.append((number, html.unescape(current + _flat(text[place:])).strip("\n\r ")))
    return lines


def _flat(text: str) -> str:
    return re.sub(r"[ \r\n]+", " ", text)


def _without(text: str, start: str, end: str) -> str:
    """Take out what a browser does not show, and keep its line breaks so that the numbers stay."""
    small, kept, place = text.lower(), [], 0
    while (begin := small.find(start, place)) >= 0 and (stop := small.find(end, begin)) >= 0:
        stop += len(end)
        kept += [text[place:begin], "\n" * text.count("\n", begin, stop)]
        place = stop
    return "".join([*kept, text[place:]])
