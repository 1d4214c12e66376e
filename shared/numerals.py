"""How hands write a number: decimal point or comma, thousands, exponents, 4k7, 4/32.

A number that can be read in two ways is answered with a question that offers both.

Sources
-------
SI brochure, 9th ed., BIPM, 2019, section 5.4.4: point or comma as the decimal marker, thin spaces between
groups of three. IEC 60062:2016, clause 4: a letter in the place of the decimal point. Both from memory.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal

LONGEST_NUMBER = 40
# No instrument of a workshop shows more than this; a larger exponent is a slip of the hand.
LARGEST_EXPONENT = 30

# Minus, hyphens and dashes that keyboards and copied text bring; spaces are handled by split().
_ALIKE = str.maketrans(
    {
        **dict.fromkeys("\u2212\u2010\u2011\u2012\u2013\u2014\ufe63\uff0d", "-"),
        "\uff0b": "+",
        "\u2019": "'",
        "\u2044": "/",
    }
)
_VULGAR = {
    "¼": "1/4", "½": "1/2", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
}  # fmt: skip
_SUPERSCRIPTS = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻⁺", "0123456789-+")

DIGITS = r"(?:[0-9]{1,3}(?:[ '][0-9]{3})+(?![0-9])(?:[.,][0-9]+)?|[0-9][0-9.,]*|[.,][0-9]+)"
_FRACTION = re.compile(
    r"^(?P<sign>[+-]?) ?(?:(?P<whole>[0-9]+) )?(?P<top>[0-9]+) ?/ ?(?P<under>[0-9]+)(?P<rest>.*)$"
)
_NUMBER = re.compile(
    rf"^(?P<sign>[+-]?) ?(?P<digits>{DIGITS})"
    r"(?:[eE](?P<power>[+-]?[0-9]+)| ?[×x·*] ?10(?:\^(?P<raised>[+-]?[0-9]+)|(?P<small>[⁻⁺]?[⁰¹²³⁴⁵⁶⁷⁸⁹]+)))?"
    r"(?P<rest>.*)$"
)
_LETTER = re.compile(r"^(?P<sign>[+-]?)(?P<whole>[0-9]*)(?P<letter>[A-Za-zµμ])(?P<part>[0-9]+)(?P<rest>.*)$")
# Letters of IEC 60062, table 3 (resistance) and table 4 (capacitance): the unit that the number is then in.
LETTERS = {
    "resistance": {"R": "Ω", "r": "Ω", "k": "kΩ", "K": "kΩ", "M": "MΩ", "G": "GΩ"},
    "capacitance": {"p": "pF", "n": "nF", "u": "µF", "µ": "µF", "μ": "µF", "m": "mF", "F": "farad"},
}
# An inch is halved and halved again; thirds of one are on no rule.
INCH_PARTS = (2, 4, 8, 16, 32, 64, 128)


class Question(ValueError):
    """What was typed is not clear. The text asks; `code` names what is unclear.

    `suggestions` are readings that the person may have meant, ready to be typed. `can_confirm` says that
    the reading as typed stands if the person says that it is meant.
    """

    def __init__(
        self, code: str, text: str, suggestions: tuple[str, ...] = (), *, can_confirm: bool = False
    ) -> None:
        self.code, self.suggestions, self.can_confirm = code, suggestions, can_confirm
        super().__init__(text)


@dataclass(frozen=True, slots=True)
class Numeral:
    """A number as typed: its value, the step of its last digit, what stands behind it.

    `is_fraction`: it was written like 4/32. `unit` is set where a letter names it, as in 4k7.
    """

    value: Decimal
    resolution: Decimal
    rest: str
    is_fraction: bool = False
    unit: str = ""


def plain(text: str) -> str:
    """Return a typed text with one form for each minus, space and fraction that looks alike."""
    for sign, words in _VULGAR.items():
        text = text.replace(sign, f" {words}")
    spoken = re.sub(r"([0-9]) point ([0-9])", r"\1.\2", " ".join(text.translate(_ALIKE).split()))
    return re.sub(r"^minus (?=[0-9.])", "-", spoken, flags=re.IGNORECASE)


def read_number(text: str, *, kind: str = "", decimal_comma: bool | None = None) -> Numeral | None:
    """Return the number at the start of a text, or None if there is none.

    Parameters
    ----------
    text : str
        As `plain` returns it.
    kind : str
        What is measured, which says what the letter in 4k7 or 4n7 stands for; empty if not known.
    decimal_comma : bool, optional
        Whether the comma is the decimal mark where the person is. None: not known, so that a comma
        before three digits is asked about.

    Raises
    ------
    Question
        If the marks can be read in two ways, or the number is longer or larger than any display.
    """
    if letter := _with_letter(text, kind):
        return letter
    if fraction := _FRACTION.match(text):
        return _of_fraction(fraction)
    found = _NUMBER.match(text)
    if found is None:
        return None
    value = _decimal(found["sign"], found["digits"], found["rest"].strip(), decimal_comma)
    power = found["power"] or found["raised"] or (found["small"] or "").translate(_SUPERSCRIPTS)
    if power:
        if len(power) > 4 or abs(int(power)) > LARGEST_EXPONENT:
            raise Question(
                "too_large", f"No instrument shows ten to the power of {power[:9]}. Write the number out."
            )
        value = Decimal((value.as_tuple().sign, value.as_tuple().digits, _exponent(value) + int(power)))
    if value and abs(value.adjusted()) > LARGEST_EXPONENT:
        raise Question("too_large", "No instrument shows a number of this size. Check what was typed.")
    return Numeral(value, step_of(value), found["rest"].strip())


def step_of(value: Decimal) -> Decimal:
    """Return the step of the last digit of a number: 0.01 for 12.30, 100 for 1.2e3."""
    return Decimal(1).scaleb(_exponent(value))


def _exponent(value: Decimal) -> int:
    exponent = value.as_tuple().exponent
    assert isinstance(exponent, int)
    return exponent


def _with_letter(text: str, kind: str) -> Numeral | None:
    found = _LETTER.match(text)
    if found is None or len(text) > LONGEST_NUMBER:
        return None
    unit = LETTERS.get(kind, LETTERS["resistance"]).get(found["letter"])
    is_bare_r = found["letter"] == "R" and kind == "resistance"  # R47 is 0.47 Ω.
    if unit is None or not (found["whole"] or is_bare_r):
        return None
    value = Decimal(f"{found['sign']}{found['whole'] or '0'}.{found['part']}")
    return Numeral(value, step_of(value), found["rest"].strip(), unit=unit)


def _of_fraction(found: re.Match[str]) -> Numeral:
    if max(len(found[name] or "") for name in ("whole", "top", "under")) > 9:
        raise Question("too_long", "A fraction has at most 9 digits in each part.")
    under = int(found["under"])
    if under not in INCH_PARTS:
        raise Question(
            "fraction_unclear",
            f"{found['top']}/{found['under']} is no part of an inch. "
            "Write halves to 128ths, or a decimal number.",
        )
    size = int(found["whole"] or 0) + Decimal(int(found["top"])) / under
    return Numeral(-size if found["sign"] == "-" else size, Decimal(1) / under, found["rest"].strip(), True)


def _decimal(sign: str, digits: str, unit: str, decimal_comma: bool | None) -> Decimal:
    joined = digits.replace(" ", "").replace("'", "")
    if sum(character.isdigit() for character in joined) > LONGEST_NUMBER:
        raise Question("too_long", f"A number has at most {LONGEST_NUMBER} digits.")
    points, commas = joined.count("."), joined.count(",")
    if points and commas:
        mark = max(".,", key=joined.rindex)
        written = _parted(joined, "," if mark == "." else ".", mark)
    elif points > 1 or commas > 1:
        written = _parted(joined, "." if points else ",", "")
    elif commas:
        written = _with_comma(joined, unit, decimal_comma)
    else:
        written = _with_point(joined, unit, decimal_comma)
    return Decimal(f"{sign}{written.rstrip('.')}")


def _parted(digits: str, thousands: str, mark: str) -> str:
    """A number with marks between groups of three, and perhaps a decimal mark after them."""
    tail = rf"(?:{re.escape(mark)}[0-9]*)?" if mark else ""
    if not re.fullmatch(rf"[1-9][0-9]{{0,2}}(?:{re.escape(thousands)}[0-9]{{3}})+{tail}", digits):
        raise Question("two_points", f"'{digits}' has two marks. Write the number with one decimal point.")
    joined = digits.replace(thousands, "")
    return joined.replace(mark, ".") if mark else joined


def _with_comma(digits: str, unit: str, decimal_comma: bool | None) -> str:
    whole, _, part = digits.partition(",")
    could_part = len(part) == 3 and len(whole) <= 3 and bool(whole.strip("0")) and whole[0] != "0"
    if decimal_comma or (decimal_comma is None and not could_part):
        return f"{whole}.{part}"
    if could_part and decimal_comma is False:
        return whole + part
    raise _two_ways("comma_unclear", digits, f"{whole}{part}", f"{whole or '0'}.{part}", unit)


def _with_point(digits: str, unit: str, decimal_comma: bool | None) -> str:
    """Where the comma is the decimal mark a point may part thousands, but a display shows a point."""
    if decimal_comma and re.fullmatch(r"[1-9][0-9]{0,2}\.[0-9]{3}", digits):
        whole, _, part = digits.partition(".")
        raise _two_ways("point_unclear", digits, f"{whole}{part}", f"{whole},{part}", unit)
    return digits


def _two_ways(code: str, digits: str, joined: str, parted: str, unit: str) -> Question:
    return Question(
        code,
        f"Is '{digits}' {joined} or {parted}? Write it in one of these two ways.",
        tuple(f"{number} {unit}".strip() for number in (joined, parted)),
    )
