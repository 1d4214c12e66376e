"""The curve against the package lifelines 0.30.3, whose answers were computed and kept.

Data: `lifelines.datasets.load_waltons` (lifespans of fruit flies), as counts of deaths and of lives last
seen, by day. The package holds an older pandas than the other tests can live with, so it is not installed beside
them.
"""

import json
from pathlib import Path

import pytest

from diagnostics.statistics.survival import DayCount, aalen_johansen, kaplan_meier, logrank

KEPT = json.loads((Path(__file__).parent / "lifelines_waltons.json").read_text("utf-8"))
CLOSE = {"rel": 1e-9, "abs": 1e-12}


def lives(name):
    return [DayCount(int(day), dead, seen) for day, (dead, seen) in KEPT[name].items()]


def test_the_curve_its_interval_and_its_hazard():
    curve = kaplan_meier(lives("control"))
    points = [curve.at(day) for day in KEPT["at"]]

    assert [1 - point.value for point in points] == pytest.approx(KEPT["survival"], **CLOSE)
    assert [1 - point.high for point in points] == pytest.approx(
        [low for low, _ in KEPT["interval"]], **CLOSE
    )
    assert [1 - point.low for point in points] == pytest.approx(
        [high for _, high in KEPT["interval"]], **CLOSE
    )
    assert [curve.step_at(day).hazard for day in KEPT["at"]] == pytest.approx(KEPT["hazard"], **CLOSE)


def test_two_curves_compared():
    found = logrank([(lives("treated"), lives("control"))])

    assert (found.chi2, found.p) == pytest.approx(KEPT["logrank"], **CLOSE)


def test_competing_ends_and_their_variance():
    # Times without ties: the package moves tied ends of different kinds apart by chance.
    ends = [
        DayCount(day, int(end == 1), int(end == 0), int(end == 2)) for day, end in enumerate(KEPT["ends"], 1)
    ]
    found = {point.day: point for point in aalen_johansen(ends)}
    at = [max(day for day in found if day <= wanted) for wanted in (5, 12, 20, 29)]

    assert [found[day].event for day in at] == pytest.approx(KEPT["cif"], **CLOSE)
    assert [found[day].variance for day in at] == pytest.approx(KEPT["cif_variance"], **CLOSE)
