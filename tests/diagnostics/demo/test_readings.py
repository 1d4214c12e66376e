from __future__ import annotations

import random

import pytest

from diagnostics import catalogue
from diagnostics.demo.readings import limits_of, outside, within

NUMERIC = [kind for kind in catalogue.load().tests.values() if kind.kind == "numeric"]


@pytest.mark.parametrize("kind", NUMERIC, ids=lambda kind: kind.code)
def test_readings_fall_on_the_side_of_the_limits_they_are_meant_for(kind):
    rng = random.Random(7)
    limits = limits_of(kind)

    def is_within(value):
        low = limits.lo is None or value >= limits.lo
        return low and (limits.hi is None or value <= limits.hi)

    assert all(is_within(within(limits, rng)) for _ in range(50))
    assert not any(is_within(outside(limits, rng)) for _ in range(50))
