"""Maker, model and engine of a VIN without a network, where the extra is installed. A suggestion only.

The library is an optional extra (`vin` in pyproject.toml): vehicles of the US market, from the public data
of the NHTSA. It never raises and answers bad input with error codes, so the form is looked at first, and a
maker that it does not know gives nothing (for such numbers its year falls to the newest cycle).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from shop.vin.number import clean_vin, form_fault

KEPT_IN_MEMORY = 1024
UNKNOWN_MAKER, WRONG_CHARACTERS = 7, 400
LONGEST = 64  # Characters that a vehicle's fields hold.


@dataclass(frozen=True, slots=True)
class Decoded:
    """What the data say of a vehicle; empty where they do not."""

    make: str
    model: str
    engine: str
    year: int | None

    @property
    def words(self) -> str:
        """All of it in one line."""
        known = (self.make, self.model, self.engine, str(self.year or ""))
        return ", ".join(part for part in known if part)


def decode(vin: str) -> Decoded | None:
    """Return what the data say of a VIN as typed; none out of form, without the extra, or when unknown."""
    cleaned = clean_vin(vin)
    return None if form_fault(cleaned) else _decoded(cleaned)


@lru_cache(maxsize=KEPT_IN_MEMORY)
def _decoded(vin: str) -> Decoded | None:
    try:
        import ultravin  # 56 MB of tables: only when the first number is asked about.
    except ImportError:
        return None
    found = ultravin.decode(vin)
    if {UNKNOWN_MAKER, WRONG_CHARACTERS} & set(found.get("error_codes") or ()):
        return None
    told = found.get("attributes") or {}
    make, model = _name(told.get("Make")), _name(told.get("Model"))
    year = found.get("model_year")
    return Decoded(make, model, _engine(told), int(year) if year else None) if make or model else None


def _engine(told: dict[str, Any]) -> str:
    litres = told.get("Displacement (L)")
    cylinders = told.get("Engine Number of Cylinders")
    parts = [
        f"{float(litres):.1f} l" if litres else "",
        f"{cylinders} cylinders" if cylinders else "",
        _plain(told.get("Fuel Type - Primary")).lower(),
        _plain(told.get("Engine Model")),
    ]
    return " ".join(part for part in parts if part)[:LONGEST]


def _name(value: Any) -> str:
    """A name as people write it: the data shout most of them."""
    text = _plain(value)
    return text.title() if text.isupper() and len(text) > 3 else text


def _plain(value: Any) -> str:
    return str(value or "").strip()[:LONGEST] if not isinstance(value, list) else ", ".join(value)[:LONGEST]
