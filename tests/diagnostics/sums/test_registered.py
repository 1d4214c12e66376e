"""What every bench sum has, and how it meets whatever it is given."""

import json
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnostics.sums import care
from shared.computing import Refused, compute, registry

SUMS = {
    name: found
    for name, found in registry().items()
    if found.function.__module__.startswith("diagnostics.sums")
}
HERE = {name: found for name, found in SUMS.items() if not name.startswith("net.")}

hostile = st.one_of(
    st.floats(),
    st.sampled_from([0, -0.0, 5e-324, 1e-200, 1e300, math.nan, math.inf, -math.inf, 10**400, -(10**400)]),
    st.sampled_from([None, True, "", "12 V", [], {}, [1, math.nan], b"12"]),
    st.integers(),
    st.text(max_size=5),
)


@pytest.mark.parametrize("name", HERE)
def test_a_sum_says_what_it_rests_on_and_what_it_means(name):
    found = HERE[name]

    assert all((found.meaning, found.formula, found.source, found.valid, found.group, found.says))
    assert found.function.__doc__
    assert bool(found.answers) == isinstance(compute(name, examples(found)), dict)


@pytest.mark.parametrize("name", HERE)
def test_the_examples_of_a_sum_lead_to_an_answer_in_words(name):
    found = HERE[name]
    answer = compute(name, examples(found))

    said = found.says(answer, examples(found))

    assert said == said.strip()
    assert said.endswith(".")
    if found.answers:
        assert answer.keys() == found.answers.keys()


def examples(found):
    return {item.key: item.example for item in found.given if item.example is not None}


@pytest.mark.parametrize("name", HERE)
def test_a_number_has_a_validity_range(name):
    open_ended = [
        item.key
        for item in HERE[name].given
        if item.kind in ("number", "whole", "numbers")
        and (item.high is None or (item.low is None and item.above is None))
    ]

    assert open_ended == []


@pytest.mark.parametrize("name", HERE)
@settings(max_examples=30)
@given(data=st.data())
def test_whatever_it_is_given_a_sum_answers_in_numbers_or_refuses_in_words(name, data):
    found = HERE[name]
    asked = {item.key: data.draw(near(item) | hostile, label=item.key) for item in found.given}

    answer, refused = answer_or_refusal(name, asked)

    if refused:
        assert refused.message
        assert refused.field in (*asked, "given")
    else:
        json.dumps(answer, allow_nan=False)
        assert found.says(answer, {key: value for key, value in asked.items() if value is not None})


def answer_or_refusal(name, asked):
    try:
        return compute(name, asked), None
    except Refused as refused:
        return None, refused


def near(item):
    """Values that fit what is asked for, its ends among them; now and then nothing."""
    low = item.low if item.low is not None else item.above
    if item.choices:
        fitting = st.sampled_from(item.choices)
    elif item.kind == "yes":
        fitting = st.booleans()
    elif item.kind == "whole":
        fitting = st.integers(int(low), int(item.high))
    else:
        fitting = st.floats(low, item.high, exclude_min=item.low is None)
        if item.kind == "numbers":
            fitting = st.lists(fitting, max_size=4)
    return fitting | st.none() if item.optional else fitting


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, 10**400])
@pytest.mark.parametrize("name", HERE)
def test_no_sum_takes_what_is_no_number(name, value):
    asked = examples(HERE[name])
    key = next(
        item.key for item in HERE[name].given if item.kind in ("number", "numbers", "whole") or item.choices
    )

    with pytest.raises(Refused) as refused:
        compute(name, {**asked, key: [value] if isinstance(asked.get(key), list) else value})

    assert refused.value.field == key


def test_a_caution_is_the_sentence_of_the_library():
    assert "hydrogen" in care.care("battery")[0]


def test_a_caution_that_nobody_wrote_is_an_error():
    with pytest.raises(KeyError, match="gravity"):
        care.care("battery", "gravity")


@pytest.mark.parametrize("family", ["ac", "battery", "brake", "engine", "fuse", "tyre"])
def test_sums_that_lead_to_work_at_the_vehicle_carry_cautions(family):
    """Conversions and definitions aside."""
    plain = {"tyre.inch32_to_mm", "tyre.mm_to_inch32"}

    without = {name for name, found in HERE.items() if name.startswith(f"{family}.") and not found.cautions}

    assert without <= plain
