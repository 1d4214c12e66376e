from __future__ import annotations

import random
from decimal import Decimal

from diagnostics import catalogue
from diagnostics.demo.readings import MAKERS_FIGURES, limits_of, outside, within, written

NUMERIC = [kind for kind in catalogue.load().tests.values() if kind.kind == "numeric"]


def test_readings_fall_on_the_side_of_the_limits_they_are_meant_for():
    rng = random.Random(7)
    for kind in NUMERIC:
        limits = limits_of(kind)

        assert all(_is_within(within(limits, rng), limits) for _ in range(20)), kind.code
        assert not any(_is_within(outside(limits, rng), limits) for _ in range(20)), kind.code


def test_what_is_counted_has_no_decimals():
    count = catalogue.load().tests["misfire_count"]

    assert written(Decimal("2.6"), count) == "3"


def test_the_books_figures_are_for_tests_without_a_generic_limit():
    tests = catalogue.load().tests

    assert all(tests[code].lo is None and tests[code].hi is None for code in MAKERS_FIGURES)


def _is_within(value, limits):
    return (limits.lo is None or value >= limits.lo) and (limits.hi is None or value <= limits.hi)
