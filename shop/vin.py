"""The vehicle identification number: its form and its check digit."""

from __future__ import annotations

VIN_LENGTH = 17
ALPHABET = "0123456789ABCDEFGHJKLMNPRSTUVWXYZ"
CHECK_POSITION = 8  # The ninth character.

# 49 CFR 565 Table III: letters count as these digits; a digit counts as itself.
VALUES = dict(zip("ABCDEFGHJKLMNPRSTUVWXYZ", "12345678123457923456789", strict=True))
# 49 CFR 565 Table IV.
WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)


def clean_vin(text: str) -> str:
    """Return a VIN as it is kept: upper case, without blanks and hyphens."""
    return "".join(text.split()).replace("-", "").upper()


def form_fault(vin: str) -> str:
    """Return what is wrong with the form of a cleaned VIN as a sentence; empty where nothing is."""
    if len(vin) != VIN_LENGTH:
        return f"This VIN has {len(vin)} characters, not {VIN_LENGTH}. Read the plate again."
    wrong = next((character for character in vin if character not in ALPHABET), "")
    if wrong:
        return f"A VIN has no '{wrong}'. The letters I, O and Q are never used: look for 1 or 0."
    return ""


def check_digit_verdict(vin: str) -> str:
    """Return `match`, `mismatch` or `not-applicable` for a VIN of right form.

    A mismatch blocks nothing: outside North America the ninth character is free.

    References
    ----------
    .. [1] 49 CFR 565.15, Tables III to V.
    """
    if vin[CHECK_POSITION] not in "0123456789X":
        return "not-applicable"
    total = sum(int(VALUES.get(c, c)) * weight for c, weight in zip(vin, WEIGHTS, strict=True))
    return "match" if "0123456789X"[total % 11] == vin[CHECK_POSITION] else "mismatch"


def remark(vin: str) -> str:
    """Return a short remark on a VIN as stored, for the line under it."""
    if not vin:
        return ""
    if form_fault(vin):
        return "not the form of a VIN"
    return {
        "match": "check digit agrees",
        "mismatch": "check digit does not agree: read the plate again",
        "not-applicable": "no check digit",
    }[check_digit_verdict(vin)]
