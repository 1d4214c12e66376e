"""The vehicle identification number (VIN): its form, its check digit, what its positions say.

References
----------
.. [1] 49 CFR 565.15, Tables III to VII. Read.
.. [2] ISO 3779:2009 and ISO 3780:2009, content and structure; world maker code. From memory.
.. [3] 73 FR 23367 (30 April 2008), position 7 and the model year. Read.
"""

from __future__ import annotations

import unicodedata
from typing import Literal

from shared.computing import Given, Refused, computation

Form = Literal["length", "character", "ok"]
Verdict = Literal["match", "mismatch", "not-applicable"]

VIN_LENGTH = 17
ALPHABET = "0123456789ABCDEFGHJKLMNPRSTUVWXYZ"
CYCLE_POSITION, CHECK_POSITION, YEAR_POSITION = 6, 8, 9  # The seventh, ninth and tenth character.
CHECK_DIGITS = "0123456789X"
HYPHENS = "-\u00ad\u2010\u2011\u2012\u2013\u2014\u2212\ufe63\uff0d"  # As word processors make of "-", too.

# 49 CFR 565 Table III: letters count as these digits; a digit counts as itself.
VALUES = dict(zip("ABCDEFGHJKLMNPRSTUVWXYZ", "12345678123457923456789", strict=True))
# 49 CFR 565 Table IV.
WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)
# 49 CFR 565.15 Table VII; the codes come round again after 30 years.
YEAR_CODES = "ABCDEFGHJKLMNPRSTVWXY123456789"
FIRST_YEAR = 1980


def clean_vin(text: str) -> str:
    """Return a VIN as it is kept: upper case, without blanks, hyphens and invisible characters.

    A letter whose capital is two ("ß") stays, so that the length is that of what was typed.
    """
    return "".join(c.upper() if len(c.upper()) == 1 else c for c in text if not is_filler(c))


def is_filler(character: str) -> bool:
    """Whether a character is a blank, a hyphen or an invisible mark that pasted text carries along."""
    return character.isspace() or character in HYPHENS or unicodedata.category(character) in ("Cf", "Cc")


VIN = Given("vin", "The vehicle identification number", kind="text", example="1M8GDM9AXKP042788")


@computation(
    "vin.format",
    "Whether a text has the form of a VIN: length, character or ok, looked at in this order.",
    VIN,
    source="49 CFR 565.15; ISO 3779: 17 characters, no I, O, Q",
    mark="read",
    group="Vehicle number",
)
def form(vin: str) -> Form:
    """Return `length`, `character` or `ok` for a VIN as typed."""
    cleaned = clean_vin(vin)
    if len(cleaned) != VIN_LENGTH:
        return "length"
    return "ok" if all(character in ALPHABET for character in cleaned) else "character"


def form_fault(vin: str) -> str:
    """Return what is wrong with the form of a cleaned VIN as a sentence; empty where nothing is."""
    if len(vin) != VIN_LENGTH:
        return f"This VIN has {len(vin)} characters, not {VIN_LENGTH}. Read the plate again."
    wrong = next((character for character in vin if character not in ALPHABET), "")
    if not wrong:
        return ""
    if wrong in "IOQ":
        return f"A VIN has no '{wrong}'. The letters I, O and Q are never used: look for 1 or 0."
    return f"A VIN has no '{wrong}'. It is written in 0 to 9 and A to Z, without I, O and Q."


@computation(
    "vin.weighted_sum",
    "The sum behind the check digit: each character's value times the weight of its position.",
    VIN,
    source="49 CFR 565.15, Tables III and IV",
    mark="read",
    formula="sum of value x weight over 17 positions; position 9 has weight 0",
)
def weighted_sum(vin: str) -> int:
    """Return the weighted sum of a VIN as typed, 0 to 801; refuse one out of form."""
    return sum(
        int(VALUES.get(character, character)) * weight
        for character, weight in zip(well_formed(vin), WEIGHTS, strict=True)
    )


@computation(
    "vin.check_digit",
    "What should stand in position 9: 0 to 9 or X.",
    VIN,
    source="49 CFR 565.15, Tables III to V",
    mark="read",
    formula="weighted sum modulo 11; ten is written X",
)
def check_digit(vin: str) -> str:
    """Return the check digit that belongs to a VIN as typed; refuse one out of form."""
    return CHECK_DIGITS[weighted_sum(vin) % 11]


@computation(
    "vin.verdict",
    "Whether position 9 agrees with the check digit: match, mismatch or not-applicable.",
    VIN,
    source="49 CFR 565.15, Tables III to V; ISO 3779 asks for no check digit",
    mark="read",
    valid="Required in North America; China uses the same rule; elsewhere position 9 is free",
    cautions=("A mismatch blocks nothing. Read the plate again.",),
    group="Vehicle number",
)
def check_digit_verdict(vin: str) -> Verdict:
    """Return `match`, `mismatch` or `not-applicable` for a VIN as typed; refuse one out of form.

    A mismatch blocks nothing: outside North America the ninth character is free. One random error in
    eleven passes as a match.
    """
    written = well_formed(vin)[CHECK_POSITION]
    if written not in CHECK_DIGITS:
        return "not-applicable"
    return "match" if written == check_digit(vin) else "mismatch"


@computation(
    "vin.model_year",
    "The model year of a light vehicle by positions 7 and 10; none for a code that is not used.",
    VIN,
    source="49 CFR 565.15 Table VII; 73 FR 23367 (2008)",
    mark="read",
    formula="position 7 a digit: 1980 to 2009; a letter: 2010 to 2039",
    valid="Cars, multipurpose vehicles and trucks up to 4536 kg for North America; others: both cycles",
    group="Vehicle number",
)
def model_year(vin: str) -> int | None:
    """Return the model year of a VIN as typed, as if it were a light vehicle; refuse one out of form."""
    both = cycles(vin)
    return both[0 if well_formed(vin)[CYCLE_POSITION].isdigit() else 1] if both else None


def cycles(vin: str) -> tuple[int, ...]:
    """Return both model years that the code in position 10 can mean, 30 years apart; none for no code."""
    cleaned = well_formed(vin)
    if cleaned[YEAR_POSITION] not in YEAR_CODES:
        return ()
    first = FIRST_YEAR + YEAR_CODES.index(cleaned[YEAR_POSITION])
    return first, first + len(YEAR_CODES)


def well_formed(vin: str) -> str:
    """Return a VIN as typed in its kept form; refuse one out of form, naming what is wrong."""
    cleaned = clean_vin(vin)
    fault = form_fault(cleaned)
    if fault:
        raise Refused("vin", fault, "17 characters: 0 to 9 and A to Z without I, O and Q")
    return cleaned
