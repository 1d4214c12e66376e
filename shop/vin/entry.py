"""A VIN as hands type it: what is odd about it, what it may be, and where it was perhaps misread.

References
----------
.. [1] 49 CFR 565.15: I, O and Q are never used. Read.
.. [2] Unicode Technical Standard 39, confusable characters: the Cyrillic and Greek letters that look like
   Latin capitals. From memory.
.. [3] Which characters are taken for one another on a worn plate: common practice, no standard.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

from shared.computing import Given, computation
from shop.vin.number import (
    ALPHABET,
    VALUES,
    VIN,
    VIN_LENGTH,
    check_digit_verdict,
    clean_vin,
    form,
    form_fault,
    is_filler,
    well_formed,
)

NEVER_USED = {"I": "1", "O": "0", "Q": "09"}
LOOKS_LIKE = dict(
    zip(
        "АВЕЗКМНРСТУХЅЈԌЬБ" + "ΑΒΕΖΗΚΜΝΡΤΥΧ" + "ІОΙΟ",
        "ABE3KMHPCTYXSJGB6" + "ABEZHKMNPTYX" + "1010",
        strict=True,
    )
)
# Taken for one another by eye; each pair both ways.
MISREAD = (
    "8B",
    "8S",
    "83",
    "5S",
    "2Z",
    "0D",
    "6G",
    "CG",
    "17",
    "1L",
    "UV",
    "VY",
    "MN",
    "EF",
    "PR",
    "4A",
    "VW",
)
MOST_TRIED = 64


@dataclass(frozen=True, slots=True)
class Oddity:
    """One thing about what was typed. `position` counts 1 to 17 without blanks; 0: the whole number."""

    position: int
    written: str
    likely: str
    sentence: str


def oddities(text: str) -> tuple[Oddity, ...]:
    """Return what is odd about a VIN as typed, in order of position; empty where nothing is."""
    kept = [character for character in text.strip() if not is_filler(character)]
    return (*_of_the_whole(text.strip(), kept), *_of_positions(kept))


def suggestion(text: str) -> str:
    """Return the VIN that was likely meant, in kept form; empty where nothing is odd or nothing fits.

    Of several readings of a character (Q as 0 or as 9) one with a right check digit comes first.
    """
    cleaned = clean_vin(text)
    if form(text) != "character" or len(cleaned) != VIN_LENGTH:
        return ""
    choices = [_likely(character) for character in cleaned]
    tried = ["".join(one) for one, _ in zip(product(*choices), range(MOST_TRIED), strict=False)]
    matching = [one for one in tried if check_digit_verdict(one) == "match"]
    return next(iter([*matching, *tried]), "")


def explained(text: str) -> str:
    """Return why a VIN as typed has not the form of one, and what was likely meant; empty where it has."""
    cleaned = clean_vin(text)
    odd = " ".join(oddity.sentence for oddity in oddities(text) if oddity.position)
    told = " ".join(filter(None, [form_fault(cleaned) if form(text) == "length" else "", odd]))
    if form(text) == "ok":
        return ""
    meant = suggestion(text)
    if not meant:
        return told or form_fault(cleaned)
    agrees = ", and its check digit agrees" if check_digit_verdict(meant) == "match" else ""
    return f"{told} Perhaps {meant} was meant{agrees}."


def misreadings(vin: str) -> tuple[Oddity, ...]:
    """Return single misreadings that would make the check digit agree; empty unless it is a mismatch.

    One character taken for one that looks like it, or two neighbours exchanged. A hint where to look on the
    plate, not a correction: a wrong guess passes once in eleven.
    """
    cleaned = well_formed(vin)
    if check_digit_verdict(cleaned) != "mismatch":
        return ()
    found = [*_misread_characters(cleaned), *_exchanged(cleaned)]
    return tuple(sorted(found, key=lambda oddity: oddity.position))


def same_value(character: str) -> str:
    """Return the other characters that count the same, so that the check digit cannot tell them apart."""
    value = VALUES.get(character, character)
    return "".join(c for c in ALPHABET if VALUES.get(c, c) == value and c != character)


@computation(
    "vin.entry",
    "A VIN as typed: what is odd about it, position by position, and what was likely meant.",
    Given("vin", "The number as typed", kind="text", example="1m8gdm9axkpO42788"),
    source="49 CFR 565.15: no I, O, Q; look-alike letters as in Unicode TS 39",
    mark="common practice",
    group="Vehicle number",
)
def entry(vin: str) -> dict[str, object]:
    """Return vin (as kept), format, remarks and suggestion (none where nothing fits)."""
    return {
        "vin": clean_vin(vin),
        "format": form(vin),
        "remarks": [
            {"position": odd.position, "written": odd.written, "likely": odd.likely, "text": odd.sentence}
            for odd in oddities(vin)
        ],
        "suggestion": suggestion(vin) or None,
    }


@computation(
    "vin.misreadings",
    "Where a VIN whose check digit disagrees was perhaps misread: changes that would make it agree.",
    VIN,
    source="49 CFR 565.15, Tables III to V; which characters look alike",
    mark="common practice",
    cautions=("A hint where to look again on the plate, not a correction.",),
)
def misread(vin: str) -> list[dict[str, object]]:
    """Return position, written and likely of each change."""
    return [
        {"position": odd.position, "written": odd.written, "likely": odd.likely} for odd in misreadings(vin)
    ]


@computation(
    "vin.same_value",
    "The characters that count the same under the check digit as this one: it cannot tell them apart.",
    Given("character", "One character of a VIN", kind="choice", choices=tuple(ALPHABET), example="1"),
    source="49 CFR 565.15, Table III",
    mark="read",
)
def same_value_of(character: str) -> list[str]:
    """Return the other characters of equal value."""
    return list(same_value(character))


def _of_the_whole(text: str, kept: list[str]) -> Iterator[Oddity]:
    if len(kept) < len(text):
        yield Oddity(0, "", "", "Blanks and hyphens are left out.")
    if any(character.islower() and character.isascii() for character in kept):
        yield Oddity(0, "", "", "Small letters are read as capitals.")
    if kept and len(kept) != VIN_LENGTH:
        yield _of_length(kept)


def _of_length(kept: list[str]) -> Oddity:
    more = len(kept) - VIN_LENGTH
    word = "too many" if more > 0 else "missing"
    told = f"{len(kept)} characters, not {VIN_LENGTH}: {_amount(abs(more))} {word}."
    twice = [place for place in range(1, len(kept)) if kept[place].upper() == kept[place - 1].upper()]
    if more == 1 and twice:
        told += f" Perhaps one was typed twice: look at position {' and '.join(str(at + 1) for at in twice)}."
    if more < 0:
        told += " A vehicle built before 1981 may have a shorter number."
    return Oddity(0, "", "", told)


def _of_positions(kept: list[str]) -> Iterator[Oddity]:
    for position, character in enumerate(kept, 1):
        capital = clean_vin(character)
        if character == "l":
            yield Oddity(
                position, "l", "L", f"Position {position}: a small l is read as L. If it is a one, write 1."
            )
        elif capital not in ALPHABET:
            likely = _likely(capital)
            yield Oddity(position, character, " or ".join(likely), _sentence(position, character, likely))


def _sentence(position: int, character: str, likely: str) -> str:
    capital = character.upper()
    if capital in NEVER_USED:
        return f"Position {position}: a VIN has no {capital}; it may be {' or '.join(likely)}."
    name = unicodedata.name(character, "a sign that cannot be named").lower()
    shown = f"“{character}” ({name})" if character.isprintable() else name
    if likely:
        return f"Position {position}: {shown} is no character of a VIN; it may be {' or '.join(likely)}."
    return f"Position {position}: {shown} is no character of a VIN. Read the plate again."


def _likely(character: str) -> str:
    """The characters of a VIN that this one may stand for, likeliest first; itself where it is one."""
    if character in ALPHABET:
        return character
    if character in NEVER_USED or character in LOOKS_LIKE:
        return NEVER_USED.get(character) or LOOKS_LIKE[character]
    digit = unicodedata.decimal(character, None)
    if digit is not None:
        return str(digit)
    plain = unicodedata.normalize("NFKD", character)[:1].upper()  # Full width; letters with accents.
    if plain == character:
        return ""
    return plain if plain in ALPHABET else NEVER_USED.get(plain, "")


def _misread_characters(cleaned: str) -> Iterator[Oddity]:
    for at, written in enumerate(cleaned):
        for pair in MISREAD:
            if written in pair:
                likely = pair.replace(written, "")
                changed = cleaned[:at] + likely + cleaned[at + 1 :]
                if check_digit_verdict(changed) == "match":
                    told = f"Position {at + 1}: {written} may be {likely}."
                    yield Oddity(at + 1, written, likely, told)


def _exchanged(cleaned: str) -> Iterator[Oddity]:
    for at in range(VIN_LENGTH - 1):
        pair = cleaned[at : at + 2]
        swapped = pair[::-1]
        changed = cleaned[:at] + swapped + cleaned[at + 2 :]
        if pair != swapped and check_digit_verdict(changed) == "match":
            told = f"Positions {at + 1} and {at + 2}: {pair} may be {swapped}."
            yield Oddity(at + 1, pair, swapped, told)


def _amount(number: int) -> str:
    return {1: "one", 2: "two", 3: "three"}.get(number, str(number))
