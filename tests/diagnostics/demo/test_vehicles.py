from __future__ import annotations

import random

import pytest

from diagnostics.demo.vehicles import fleet, with_check_digit

MAKES = {"Norvane", "Haldmark", "Brisolet", "Tolmer", "Ostrey"}
# 49 CFR 565.15, Tables III and IV, as given in the reference values, section 1. Read there.
VALUES = dict(
    zip("ABCDEFGHJKLMNPRSTUVWXYZ0123456789", map(int, "123456781234579234567890123456789"), strict=True)
)
WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)


def test_every_vin_passes_the_check_digit_of_49_cfr_565(shop):
    for vehicle in shop.vehicles:
        remainder = (
            sum(VALUES[sign] * weight for sign, weight in zip(vehicle["vin"], WEIGHTS, strict=True)) % 11
        )

        assert vehicle["vin"][8] == "0123456789X"[remainder]


def test_a_vin_from_outside_the_project_keeps_its_check_digit():
    # 1M8GDM9AXKP042788 is the worked example commonly shown for 49 CFR 565. From memory.
    assert with_check_digit("1M8GDM9A0KP042788") == "1M8GDM9AXKP042788"


def test_no_vin_has_an_assigned_maker_code_or_stands_twice(shop):
    vins = [vehicle["vin"] for vehicle in shop.vehicles]

    assert all(vin.startswith("00Z") for vin in vins)
    assert len(set(vins)) == len(vins)


def test_year_code_and_cycle_agree_with_the_year(shop):
    codes = "ABCDEFGHJKLMNPRSTVWXY123456789"
    for vehicle in shop.vehicles:
        year = 2010 if vehicle["vin"][6].isalpha() else 1980

        assert year + codes.index(vehicle["vin"][9]) == vehicle["year"]


def test_makes_are_the_invented_ones(shop):
    assert {vehicle["make"] for vehicle in shop.vehicles} == MAKES


def test_plates_are_given_once(shop):
    plates = [vehicle["plate"] for vehicle in shop.vehicles]

    assert len(set(plates)) == len(plates)


@pytest.mark.parametrize("this_year", [2026, 2031])
def test_no_vehicle_is_newer_than_the_record(this_year):
    assert max(vehicle.year for vehicle in fleet(200, this_year, random.Random(3))) <= this_year - 3
