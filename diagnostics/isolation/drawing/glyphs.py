"""Small line signs of the kinds of places, 24 by 16 px, after the graphic symbols of IEC 60617 (from memory).

A unit has none: its box is the sign. Nothing is round, because in these drawings only a link of the chain is.
"""

from __future__ import annotations

GLYPHS: dict[str, str] = {
    "hub": "M0 3H24M4 3V13M10 3V13M16 3V13M22 3V13",
    "source": "M0 8H9M9 1V15M14 4V12M14 8H24",
    "fuse": "M0 8H24M4 4H20V12H4Z",
    "splice": "M0 8H24M12 8V16M10 6H14V10H10Z",
    "switch": "M0 11H7L18 4M18 11H24M7 9V13M18 9V13",
    "connector": "M0 8H7M5 3L11 8L5 13M13 3L19 8L13 13M19 8H24",
    "load": "M4 1H20V15H4ZM4 1L20 15M20 1L4 15",
    "ground": "M12 0V7M3 7H21M7 11H17M10 15H14",
    "tester_port": "M1 2H23L20 14H4ZM7 6V7M12 6V7M17 6V7M9 10V11M15 10V11",
    "end_resistor": "M0 8H3M3 4H21V12H3ZM21 8H24",
}


def glyph_at(kind: str, x: float, y: float) -> str:
    """Return the sign of a kind with its upper left corner at (x, y), "" for a kind without one."""
    return moved(GLYPHS.get(kind, ""), x, y)


def moved(path: str, x: float, y: float) -> str:
    """Return a path of absolute M, H, V, L and Z moved by (x, y)."""
    parts: list[str] = []
    for step in _steps(path):
        letter, numbers = step[0], [float(number) for number in step[1:].split()]
        if letter == "H":
            numbers = [numbers[0] + x]
        elif letter == "V":
            numbers = [numbers[0] + y]
        elif letter != "Z":
            numbers = [numbers[0] + x, numbers[1] + y]
        parts.append(letter + " ".join(f"{number:g}" for number in numbers))
    return "".join(parts)


def _steps(path: str) -> list[str]:
    steps: list[str] = []
    for letter in path:
        if letter.isalpha():
            steps.append(letter)
        elif steps:
            steps[-1] += letter
    return steps
