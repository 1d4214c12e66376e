"""What a VIN says about its vehicle, in sentences for the desk. Nothing here blocks anything."""

from __future__ import annotations

from dataclasses import dataclass

from shop.vin.entry import misreadings
from shop.vin.maker import NORTH_AMERICA, is_small_maker, needs_check_digit, region
from shop.vin.number import check_digit, check_digit_verdict, clean_vin, cycles, form_fault, model_year

MOST_HINTS = 3
MATCH_PROVES = "One random slip in eleven agrees by chance; A, J and 1, or C, L, T and 3, always do."
FREE_ELSEWHERE = "Outside North America position 9 is free."


@dataclass(frozen=True, slots=True)
class Said:
    """What one VIN says. `years` are offered, likeliest first; `is_doubtful`: read the plate again."""

    vin: str
    verdict: str
    verdict_words: str
    is_doubtful: bool
    hints: tuple[str, ...]
    years: tuple[int, ...]
    year_words: str
    maker_words: str


def said(vin: str, *, latest: int) -> Said | None:
    """Return what a VIN says; none where it has not the form of one.

    Parameters
    ----------
    vin : str
        As typed or as kept.
    latest : int
        The last model year that can have been built: next year's. [year]
    """
    cleaned = clean_vin(vin)
    if form_fault(cleaned):
        return None
    verdict = check_digit_verdict(cleaned)
    years = offered_years(cleaned, latest=latest)
    return Said(
        cleaned,
        verdict,
        _verdict_words(cleaned, verdict),
        needs_check_digit(cleaned) and verdict != "match",
        tuple(odd.sentence for odd in misreadings(cleaned)[:MOST_HINTS]),
        years,
        _year_words(cleaned, years),
        _maker_words(cleaned),
    )


def offered_years(vin: str, *, latest: int) -> tuple[int, ...]:
    """Return the model years to offer, likeliest first, none after `latest`.

    The position-7 rule holds for light vehicles of North America: its year comes first, and the other one
    is for the vehicles it does not cover. Elsewhere both are open, the later one first.
    """
    by_rule = model_year(vin)
    both = [year for year in reversed(cycles(vin)) if year <= latest]
    if region(vin) == NORTH_AMERICA:
        both.sort(key=lambda year: year != by_rule)
    return tuple(both)


def remark(vin: str) -> str:
    """Return a short remark on a VIN as stored, for the line under it."""
    if not vin:
        return ""
    if form_fault(vin):
        return "not the form of a VIN"
    verdict = check_digit_verdict(vin)
    if verdict == "mismatch" and not needs_check_digit(vin):
        return "check digit does not agree; outside North America it need not"
    if verdict == "not-applicable" and needs_check_digit(vin):
        return "no check digit where one is required: read the plate again"
    return {
        "match": "check digit agrees",
        "mismatch": "check digit does not agree: read the plate again",
        "not-applicable": "no check digit",
    }[verdict]


def _verdict_words(vin: str, verdict: str) -> str:
    should = check_digit(vin)
    if verdict == "match":
        return f"The check digit agrees. {MATCH_PROVES}"
    wanted = f"Position 9 is {vin[8]}; by the rest of the number it would be {should}."
    if needs_check_digit(vin):
        return f"The check digit does not agree: read the plate again. {wanted}"
    if verdict == "mismatch":
        return f"The check digit does not agree. {wanted} {FREE_ELSEWHERE} So this may be right."
    return f"It has no check digit. {FREE_ELSEWHERE}"


def _year_words(vin: str, years: tuple[int, ...]) -> str:
    if not cycles(vin):
        return f"Position 10 is {vin[9]}, which is no code of a model year."
    if not years:
        return "The year that position 10 stands for is still to come: read the plate again."
    listed = " or ".join(str(year) for year in years)
    if region(vin) != NORTH_AMERICA:
        return f"Model year {listed}, if the maker writes it there; outside North America many do not."
    if years[0] != model_year(vin):
        return f"Model year {listed}: a trailer, a motorcycle or a vehicle above 4536 kg, by position 7."
    if len(years) == 1:
        return f"Model year {years[0]}."
    return f"Model year {years[0]}; {years[1]} if it is a trailer, a motorcycle or above 4536 kg (10,000 lb)."


def _maker_words(vin: str) -> str:
    where = region(vin)
    told = f"The maker is registered in {where}." if where else "The first character is given to no region."
    if vin[0] == "7":
        told = "The maker is registered in the United States, or, on an older number, in New Zealand."
    if is_small_maker(vin):
        told += " It builds few vehicles: positions 12 to 14 belong to its code."
    return told
