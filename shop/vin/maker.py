"""What the first characters of a VIN say: where the maker is registered, and whether it is a small one.

References
----------
.. [1] ISO 3780:2009, world manufacturer identifier: first character by region. From memory.
.. [2] 49 CFR 565.15(a): 9 in position 3 for a maker of few vehicles; positions 12 to 14 then belong to the
   maker's code. Read.
.. [3] 49 CFR 565: the check digit is required in the United States, whose numbers begin with 1, 4, 5 and 7A
   to 70. Read; that Canada and Mexico (2, 3) follow, and China (L) by a rule of its own, from memory.
"""

from __future__ import annotations

from shared.computing import computation
from shop.vin.number import VIN, well_formed

SMALL_MAKER = "9"
NORTH_AMERICA = "North America"
REGIONS = {
    "ABC": "Africa",
    "HJKLMNPR": "Asia",
    "STUVWXYZ": "Europe",
    "12345": NORTH_AMERICA,
    "6": "Oceania",
    "7": NORTH_AMERICA,  # New Zealand has used 7A to 7E.
    "89": "South America",
}


def region(vin: str) -> str:
    """Return where the maker is registered by the first character; empty where none is assigned."""
    first = well_formed(vin)[0]
    return next((name for letters, name in REGIONS.items() if first in letters), "")


def is_small_maker(vin: str) -> bool:
    """Whether the maker builds few vehicles, so that positions 12 to 14 belong to its code."""
    return well_formed(vin)[2] == SMALL_MAKER


def maker_code(vin: str) -> str:
    """Return the maker's code: the first three characters, and positions 12 to 14 of a small maker."""
    cleaned = well_formed(vin)
    return cleaned[:3] + (cleaned[11:14] if is_small_maker(vin) else "")


def needs_check_digit(vin: str) -> bool:
    """Whether position 9 must be the check digit: numbers of North America, and of China by its own rule."""
    return region(vin) == NORTH_AMERICA or well_formed(vin)[0] == "L"


@computation(
    "vin.maker",
    "Where the maker of a VIN is registered, its code, and whether it is a small one.",
    VIN,
    source="ISO 3780 (regions, from memory); 49 CFR 565.15(a) (small maker, read)",
    mark="from memory",
)
def maker(vin: str) -> dict[str, object]:
    """Return region, code, small_maker and check_digit_required of a VIN as typed."""
    return {
        "region": region(vin) or None,
        "code": maker_code(vin),
        "small_maker": is_small_maker(vin),
        "check_digit_required": needs_check_digit(vin),
    }
