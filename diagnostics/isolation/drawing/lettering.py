"""How wide words are in the letter of the drawings, and how they are broken and shortened."""

from __future__ import annotations

from functools import lru_cache

SIZE = 15.0  # px: the smallest text on a screen
LINE = 19.0  # px from one line of text to the next
ASCENT = 14.0  # px above the base line that a letter may take
SPARE = 1.03  # a replacement font may run a little wider

# Widths of Sofia Sans in hundredths of the letter size, the widest of weights 400 to 700, as a browser
# measures them. What is not listed counts as wide as a capital.
_WIDTHS: dict[str, int] = {
    letter: width
    for width, letters in (
        (21, "' \u00a0"),
        (24, "`il"),
        (27, "!,.:|;Ij·’"),
        (30, '()J[]{}"'),
        (36, "rft"),
        (41, "/\\°*"),
        (47, "sz"),
        (52, "-?LaxFvyg^k"),
        (54, "ceET_bopqàáâãäåçèéêë"),
        (56, "duùúûüòóôõöøßhnPYZ"),
        (58, "SXABµ“”"),
        (60, "0123456789"),  # figures of a table: all alike
        (61, "+<=>~#RVK"),
        (65, "$CDOQUÄÖÜ"),
        (68, "GHN&"),
        (74, "w–M"),
        (84, "m"),
        (94, "W%…ΩΔ@"),
    )
    for letter in letters
}
_WIDE = 78
_FULL = 104  # signs as wide as they are high, as in Chinese or Japanese


def _letter(letter: str) -> int:
    known = _WIDTHS.get(letter)
    if known is not None:
        return known
    return _FULL if ord(letter) > 0x2E7F else _WIDE


@lru_cache(maxsize=4096)
def width_of(text: str) -> float:
    """Return the width of one line of text in px, rather a little too wide than too narrow."""
    return sum(map(_letter, text)) * SIZE / 100 * SPARE


def shorten(text: str, width: float) -> str:
    """Return the text as far as it fits into `width` px, ending in … where something was left off."""
    if width_of(text) <= width:
        return text
    kept = text
    while kept and width_of(f"{kept}…") > width:
        kept = kept[:-1]
    return f"{kept.rstrip()}…"


@lru_cache(maxsize=4096)
def wrap(text: str, width: float, most: int = 2) -> tuple[str, ...]:
    """Return the text in at most `most` lines of `width` px; long words are broken, the rest is cut off."""
    lines: list[str] = []
    words = [word for word in text.split(" ") if word]  # a no-break space holds
    while words and len(lines) < most - 1:
        line = words.pop(0)
        if width_of(line) > width:
            fitting = _fitting(line, width)
            words.insert(0, line[fitting:])
            line = line[:fitting]
        while words and width_of(f"{line} {words[0]}") <= width:
            line = f"{line} {words.pop(0)}"
        lines.append(line)
    if words:
        lines.append(shorten(" ".join(words), width))
    return tuple(lines)


def _fitting(word: str, width: float) -> int:
    """How many letters of a word fit; one at least, so that breaking ends."""
    count = len(word)
    while count > 1 and width_of(word[:count]) > width:
        count -= 1
    return count
