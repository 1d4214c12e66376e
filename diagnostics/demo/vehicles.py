"""The vehicles of the demo: invented makes and models, with numbers that pass the check digit.

The maker code 00Z is assigned to nobody. Check digit and year code follow 49 CFR 565
(reference values, section 1): position 7 is a letter from 2010 on and a digit before.
"""

from __future__ import annotations

import random
from dataclasses import dataclass
from datetime import date
from typing import Any

MAKER_CODE = "00Z"
LETTER_VALUES = dict(
    zip(
        "ABCDEFGHJKLMNPRSTUVWXYZ",
        (1, 2, 3, 4, 5, 6, 7, 8, 1, 2, 3, 4, 5, 7, 9, 2, 3, 4, 5, 6, 7, 8, 9),
        strict=True,
    )
)
POSITION_WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)
YEAR_CODES = "ABCDEFGHJKLMNPRSTVWXY123456789"
FIRST_YEAR = 1980
SECOND_CYCLE_YEAR = 2010
PLATE_LETTERS = "ABCDEFGHJKLMNPRSTUVWXY"


@dataclass(frozen=True, slots=True)
class Model:
    """One model of an invented maker; `share` is how common it is in the town."""

    make: str
    name: str
    descriptor: str
    engines: tuple[str, ...]
    share: int
    first_year: int
    last_year: int


PETROL_12, PETROL_14, PETROL_16 = "1.2 petrol, 4 cyl", "1.4 petrol, 4 cyl", "1.6 petrol, 4 cyl"
DIESEL_15, DIESEL_20 = "1.5 diesel, 4 cyl", "2.0 diesel, 4 cyl"
MODELS = (
    Model("Norvane", "Tarn hatch", "NT1", (PETROL_12, PETROL_14, DIESEL_15), 12, 2008, 2024),
    Model("Norvane", "Tarn estate", "NV4", (PETROL_14, DIESEL_20), 10, 2010, 2024),
    Model("Norvane", "Sill", "NS2", ("1.0 petrol, 3 cyl", PETROL_12), 9, 2012, 2025),
    Model("Haldmark", "Orrel", "HR3", (PETROL_16, DIESEL_20), 12, 2007, 2023),
    Model("Haldmark", "Stell saloon", "HS6", ("1.8 petrol, 4 cyl", DIESEL_20), 7, 2005, 2021),
    Model("Brisolet", "Vane", "BV2", (PETROL_12, PETROL_14), 12, 2009, 2024),
    Model("Brisolet", "Corriol", "BC5", (PETROL_16, DIESEL_15), 7, 2011, 2025),
    Model("Tolmer", "Fenn", "TF1", (PETROL_14, PETROL_16), 11, 2004, 2022),
    Model("Tolmer", "Skerrow 4x4", "TS8", (DIESEL_20, "2.4 diesel, 4 cyl"), 6, 2006, 2024),
    Model("Ostrey", "Quill van", "EK7", (DIESEL_15, DIESEL_20), 9, 2010, 2025),
    Model("Ostrey", "Hamlin pick-up", "EH9", ("2.4 diesel, 4 cyl",), 5, 2008, 2023),
)


@dataclass(frozen=True, slots=True)
class Vehicle:
    """One vehicle as the exchange form knows it."""

    id: str
    vin: str
    plate: str
    year: int
    make: str
    model: str
    engine: str
    left_on: date | None = None

    @property
    def burns_diesel(self) -> bool:
        """Whether the engine is a diesel, which has no ignition to test."""
        return "diesel" in self.engine

    def line(self) -> dict[str, Any]:
        """Return the vehicle's own exchange line."""
        return {
            "record": "vehicle",
            "id": self.id,
            "vin": self.vin,
            "plate": self.plate,
            "year": self.year,
            "make": self.make,
            "model": self.model,
            "engine": self.engine,
            "left_on": self.left_on.isoformat() if self.left_on else None,
        }


def with_check_digit(vin: str) -> str:
    """Return `vin` with position 9 set to its check digit.

    Parameters
    ----------
    vin : str
        17 characters of the VIN alphabet; what stands in position 9 does not matter.

    References
    ----------
    .. [1] 49 CFR 565.15, Tables III to V, as given in the reference values, section 1. Read.
    """
    blank = vin[:8] + "0" + vin[9:]
    total = sum(
        (int(sign) if sign.isdigit() else LETTER_VALUES[sign]) * weight
        for sign, weight in zip(blank, POSITION_WEIGHTS, strict=True)
    )
    remainder = total % 11
    return vin[:8] + ("X" if remainder == 10 else str(remainder)) + vin[9:]


def vin_of(descriptor: str, year: int, serial: int, plant: str = "R") -> str:
    """Return an invented vehicle number.

    Parameters
    ----------
    descriptor : str
        Positions 4 to 6.
    year : int
        Model year, 1980 to 2039; sets positions 7 and 10.
    serial : int
        0 to 999999, positions 12 to 17.
    """
    cycle = "T2" if year >= SECOND_CYCLE_YEAR else "2T"
    code = YEAR_CODES[(year - FIRST_YEAR) % len(YEAR_CODES)]
    return with_check_digit(f"{MAKER_CODE}{descriptor}{cycle}0{code}{plant}{serial:06d}")


def fleet(count: int, this_year: int, rng: random.Random) -> list[Vehicle]:
    """Return `count` different vehicles, older ones more often than new ones."""
    plates = _plates(count, rng)
    serials = rng.sample(range(110_000, 990_000), count)
    shares = [model.share for model in MODELS]
    made = []
    for number in range(count):
        model = rng.choices(MODELS, shares)[0]
        newest = min(model.last_year, this_year - 3)
        year = round(rng.triangular(model.first_year, newest, newest - 5))
        made.append(
            Vehicle(
                id=f"V{number + 101:04d}",
                vin=vin_of(model.descriptor, year, serials[number], rng.choice("KRW")),
                plate=plates[number],
                year=year,
                make=model.make,
                model=model.name,
                engine=rng.choice(model.engines),
            )
        )
    return made


def _plates(count: int, rng: random.Random) -> list[str]:
    """Two letters and four digits, a form that no register in the story's country uses."""
    numbers = rng.sample(range(1000, 10_000), count)
    return ["".join(rng.choices(PLATE_LETTERS, k=2)) + f" {number}" for number in numbers]
