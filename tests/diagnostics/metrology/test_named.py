"""The family `metro` by name: published examples, and what each refuses."""

import pytest

from shared.computing import Refused, compute, find

# trade-values.md section 8. Sources there: public tutorials on meter uncertainty (read), JCGM 100:2008 4.2,
# 4.3.7, 5.1 and H.1, JCGM 106:2012 7.3.3 and 8.3 (from memory, recomputed), ISO 14253-1 (public summaries).
HALF = "metro.spec_half_width"
NUMBERS = [
    (HALF, {"reading": 32.0, "percent": 2.5, "counts": 3, "resolution": 0.01}, 0.83, 1e-6),
    (HALF, {"reading": 0.09, "percent": 2.5, "counts": 3, "resolution": 0.01}, 0.03225, 1e-9),
    (HALF, {"reading": 2, "percent": 0.08, "counts": 2, "resolution": 0.001}, 0.0036, 1e-6),
    (HALF, {"reading": -100.0, "percent": 0.8, "counts": 2, "resolution": 0.1}, 1.0, 1e-6),
    ("metro.spec_u", {"reading": 32.0, "percent": 2.5, "counts": 3, "resolution": 0.01}, 0.479201, 1e-5),
    ("metro.spec_u", {"reading": 10.0, "percent": 2.58, "k": 2.58}, 0.1, 1e-9),
    ("metro.spec_u", {"reading": 10.0, "resolution": 0.01}, 0.00288675, 1e-8),
    ("metro.p_conform", {"y": 509.7, "u": 8.6, "lower": 490}, 0.99, 0.005),
    ("metro.p_conform", {"y": 10.0, "u": 1.0, "upper": 10.0}, 0.5, 1e-6),
    ("metro.p_conform", {"y": -5.47, "u": 0.05, "upper": -5.4}, 0.92, 0.005),
    ("metro.p_conform", {"y": 5.0, "u": 0.0, "lower": 5.0}, 1.0, 0),
    ("metro.guard_limit", {"p": 0.95, "u": 1.0, "upper": 100}, 98.355146, 1e-5),
    ("metro.guard_limit", {"p": 0.95, "u": 1.0, "lower": 100}, 101.644854, 1e-5),
    ("metro.combine", {"u": [25, 9.7, 2.9, 16.6]}, 31.7, 0.05),
    ("metro.combine", {"u": [3, 4]}, 5, 1e-9),
]  # fmt: skip
METER = {"percent": 0.5, "counts": 2, "resolution": 0.01}
THREE_WAY = [
    ({"reading": 12.6, "lower": 12.4, **METER}, "conform"),
    ({"reading": 12.38, "lower": 12.4, **METER}, "not-proved"),
    ({"reading": 12.2, "lower": 12.4, **METER}, "not-conform"),
    ({"reading": 12.45, "lower": 12.4, **METER}, "not-proved"),
    ({"reading": 21.98, "U": 0.01, "lower": 22.0}, "not-conform"),
    ({"reading": 22.02, "U": 0.01, "lower": 22.0}, "conform"),
    ({"reading": 22.01, "U": 0.01, "lower": 22.0}, "conform"),  # equality conforms
    ({"reading": 21.99, "U": 0.01, "lower": 22.0}, "not-proved"),
    ({"reading": 0.3, "U": 0.1, "upper": 0.4}, "conform"),  # 0.4 - 0.1 is 0.3 in decimals, not in floats
    ({"reading": 0.5, "U": 0.1, "upper": 0.4}, "not-proved"),
    ({"reading": 0.85, "U": 0.02, "lower": 0.7, "upper": 1.0}, "conform"),
    ({"reading": 0.21, "percent": 0.5, "counts": 2, "resolution": 0.001, "upper": 0.2}, "not-conform"),
    ({"reading": 14.9, "U": 0.1, "lower": 13.5, "upper": 14.7}, "not-conform"),
    ({"reading": 14.0, "U": 1.0, "lower": 13.5, "upper": 14.7}, "not-proved"),  # wider than the tolerance
    ({"reading": 12.52, "lower": 12.4, "k": 3, **METER}, "not-proved"),
    ({"reading": 12.55, "lower": 12.4, "k": 3, **METER}, "conform"),
    ({"reading": 12.45, "U": 0.0, "lower": 12.4}, "conform"),
]


@pytest.mark.parametrize(("name", "given", "expected", "within"), NUMBERS)
def test_a_number_agrees_with_the_published_one(name, given, expected, within):
    assert compute(name, given) == pytest.approx(expected, abs=within)


@pytest.mark.parametrize(("given", "expected"), THREE_WAY)
def test_the_three_way_rule(given, expected):
    assert compute("metro.three_way", given) == expected


def test_repeated_readings_have_mean_spread_and_uncertainty():
    answer = compute("metro.type_a", {"readings": [12.61, 12.62, 12.6, 12.63, 12.61]})

    assert answer == pytest.approx({"mean": 12.614, "s": 0.01140175425099176, "u": 0.005099019513592954})


def test_both_limits_are_guarded_each_on_its_side():
    answer = compute("metro.guard_limit", {"p": 0.95, "u": 0.1, "lower": 12.4, "upper": 12.9})

    assert answer == pytest.approx({"lower": 12.5645, "upper": 12.7355}, abs=1e-4)


@pytest.mark.parametrize(
    ("name", "given", "field", "says"),
    [
        ("metro.three_way", {"reading": 1, "U": 0.1}, "lower", "No limit is given"),
        (
            "metro.three_way",
            {"reading": 1, "U": 0.1, "lower": 2, "upper": 1},
            "upper",
            "below the lower limit",
        ),
        ("metro.three_way", {"reading": 1, "lower": 0}, "percent", "No accuracy is given"),
        ("metro.three_way", {"reading": 1, "lower": 0, "counts": 2}, "resolution", "which step"),
        ("metro.three_way", {"reading": 1, "lower": 0, "U": -1}, "U", "outside the range"),
        ("metro.three_way", {"reading": 1, "lower": 0, "percent": 1, "k": 0}, "k", "outside the range"),
        ("metro.three_way", {"reading": float("nan"), "lower": 0, "U": 1}, "reading", "not a finite number"),
        ("metro.spec_half_width", {"reading": 1, "counts": 2}, "resolution", "which step"),
        ("metro.p_conform", {"y": 1, "u": 1}, "lower", "No limit is given"),
        ("metro.guard_limit", {"p": 1, "u": 1, "upper": 1}, "p", "outside the range"),
        ("metro.guard_limit", {"p": 0.95, "u": 1, "lower": 1, "upper": 2}, "u", "guard bands meet"),
        ("metro.combine", {"u": []}, "u", "at least 1"),
        ("metro.combine", {"u": [1, -1]}, "u", "outside the range"),
        ("metro.type_a", {"readings": [1]}, "readings", "at least 2"),
        ("metro.type_a", {"readings": [1, "2"]}, "readings", "not a number"),
    ],
)
def test_what_cannot_be_answered_is_refused_by_field(name, given, field, says):
    with pytest.raises(Refused, match=says) as refused:
        compute(name, given)

    assert refused.value.field == field


def test_every_computation_says_its_source_and_formula():
    names = ["spec_half_width", "spec_u", "three_way", "p_conform", "guard_limit", "combine", "type_a"]

    assert all(find(f"metro.{name}").source and find(f"metro.{name}").formula for name in names)
