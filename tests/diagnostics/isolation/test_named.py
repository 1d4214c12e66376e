"""Sums about finding a fault. Worked examples: fault-isolation.md sections 9, 11, 13.5 and 13.8, read."""

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.isolation.named import (
    by_hub,
    cost_of_repair,
    hub_words,
    looks_words,
    one_by_one,
    ratio_words,
)
from shared.computing import Refused, compute, registry

HUB = {"units": 11, "unplug": 8, "access": 30, "split": 2}


def test_the_hub_of_eleven_equal_units_comes_out_as_printed():
    """Section 13.5: 47.27 one by one, 37.09 by the hub, break-even at 6.28 min per unit."""
    answer = compute("isolation.hub_or_easy", HUB)

    assert answer["one_by_one"] == pytest.approx(47.27, abs=0.005)
    assert answer["hub"] == pytest.approx(37.09, abs=0.005)
    assert answer["pays_above_minutes"] == pytest.approx(6.28, abs=0.005)


def test_one_by_one_is_the_mean_over_the_guilty_unit():
    """Counted unit by unit: the last but one settles the last."""
    units = 11

    counted = sum(8 * min(place, units - 1) for place in range(1, units + 1)) / units

    assert one_by_one(units, 8) == pytest.approx(counted)


@given(st.integers(2, 40))
def test_the_splits_at_a_hub_are_the_code_length_of_equal_chances(units):
    """Huffman 1952, Proc. IRE 40(9): join the two lightest; the sum of the joined weights is the length."""
    weights, length = [1.0] * units, 0.0
    while len(weights) > 1:
        weights.sort()
        joined = weights.pop(0) + weights.pop(0)
        length += joined / units
        weights.append(joined)

    assert by_hub(units, 0, 1) == pytest.approx(length)


@given(st.integers(2, 30), st.floats(0.5, 60), st.floats(0, 120), st.floats(0.5, 20))
def test_at_the_break_even_both_ways_cost_the_same(units, unplug, access, split):
    least = compute(
        "isolation.hub_or_easy", {"units": units, "unplug": unplug, "access": access, "split": split}
    )["pays_above_minutes"]

    assert one_by_one(units, least) == pytest.approx(by_hub(units, access, split))


def test_the_hub_pays_from_one_unit_more_than_the_break_even():
    units = compute("isolation.hub_or_easy", HUB)["pays_above_units"]

    assert by_hub(units, 30, 2) >= one_by_one(units, 8)
    assert by_hub(units + 1, 30, 2) < one_by_one(units + 1, 8)


def test_a_hub_dearer_than_anything_never_pays():
    assert (
        compute("isolation.hub_or_easy", {**HUB, "unplug": 0.1, "access": 10_000})["pays_above_units"] is None
    )


def test_the_words_name_the_cheaper_way_and_the_break_even():
    assert hub_words(compute("isolation.hub_or_easy", HUB)) == (
        "The hub first: about 10 min less on average (37 by the hub, 47 one by one). "
        "The hub pays if more than 8 units remain or if each takes longer than 6.3 min."
    )


def test_a_small_difference_is_called_the_same():
    assert "The same for practical purposes" in hub_words(
        compute("isolation.hub_or_easy", {**HUB, "unplug": 6.3})
    )


def test_five_clean_looks_leave_what_is_printed():
    """Section 9: prior 0.5, sensitivity 0.3: 0.144 after five looks, nine to fall below 0.05."""
    answer = compute("isolation.clean_looks", {"prior": 0.5, "sensitivity": 0.3, "looks": 5})

    assert answer["left"] == pytest.approx(0.144, abs=0.0005)
    assert answer["looks_needed"] == 9


@given(st.floats(0.01, 0.99), st.floats(0.05, 0.95), st.floats(0.01, 0.5))
def test_the_looks_needed_are_the_fewest(prior, sensitivity, target):
    def left(looks):
        given = {"prior": prior, "sensitivity": sensitivity, "looks": looks, "target": target}
        return compute("isolation.clean_looks", given)

    needed = left(0)["looks_needed"]

    assert left(needed)["left"] < target
    assert needed == 0 or left(needed - 1)["left"] >= target


@given(st.floats(0.01, 0.99), st.floats(0.05, 0.95), st.integers(0, 20))
def test_what_is_left_is_bayes_look_by_look(prior, sensitivity, looks):
    chance = prior
    for _ in range(looks):
        chance = chance * (1 - sensitivity) / (chance * (1 - sensitivity) + 1 - chance)

    answer = compute("isolation.clean_looks", {"prior": prior, "sensitivity": sensitivity, "looks": looks})

    assert answer["left"] == pytest.approx(chance)


def test_the_words_of_clean_looks():
    answer = compute("isolation.clean_looks", {"prior": 0.5, "sensitivity": 0.3, "looks": 5})

    assert looks_words(answer, {"looks": 5}) == (
        "After 5 clean looks 14 in 100 are left: 4 more to get below 5 in 100."
    )


@given(st.lists(st.tuples(st.floats(0.01, 0.2), st.floats(1, 60), st.floats(0, 60)), min_size=1, max_size=5))
def test_no_other_order_of_checks_is_cheaper(rows):
    """Every order is tried."""
    chances, minutes, repair = (list(column) for column in zip(*rows, strict=True))

    answer = compute("isolation.next_by_ratio", {"chances": chances, "minutes": minutes, "repair": repair})

    least = min(
        cost_of_repair(order, chances, minutes, repair) for order in itertools.permutations(range(len(rows)))
    )
    assert answer["expected"] == pytest.approx(least)


def test_the_cost_of_an_order_worked_by_hand():
    """Section 13.8: 30 + 0.5 x 5 + 0.3 x 10 + 0.1 x 2, then 20 min of repair in any case."""
    cost = cost_of_repair([0, 1, 2, 3], [0.5, 0.2, 0.2, 0.1], [30, 5, 10, 2], [20] * 4)

    assert cost == pytest.approx(55.7)


def test_the_words_of_an_order():
    answer = compute("isolation.next_by_ratio", {"chances": [0.5, 0.5], "minutes": [30, 5]})

    assert ratio_words(answer) == "Check in the order 2, 1: 20.0 min on average, 12.5 less than as listed."


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"chances": [0.5, 0.5], "minutes": [3]}, "minutes"),
        ({"chances": [0.5, 0.5], "minutes": [3, 3], "repair": [1]}, "repair"),
        ({"chances": [0.9, 0.9], "minutes": [3, 3]}, "chances"),
    ],
)
def test_lists_that_do_not_go_together_are_refused(given, field):
    with pytest.raises(Refused) as refused:
        compute("isolation.next_by_ratio", given)

    assert refused.value.field == field


def test_every_example_is_answered_in_a_sentence():
    found = [one for name, one in registry().items() if name.startswith("isolation.")]

    assert len(found) == 3
    for one in found:
        given = {item.key: item.example for item in one.given}
        assert one.says(one.answer(given), given).endswith(".")
        assert all(math.isfinite(value) for value in [item.high for item in one.given] if value is not None)
