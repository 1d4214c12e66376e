from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared import computing
from shared.answer_lines import as_json
from shared.computing import Computation, Given, Refused, computation, compute, find, registry

NUMBER = Given("amps", "The current", unit="A", low=0, high=10)


def looked_at(item, value, key=None):
    return Computation("a.b", lambda **taken: taken, "x", (item,)).answer({key or item.key: value})


def refusal(item, value):
    with pytest.raises(Refused) as refused:
        looked_at(item, value)
    return refused.value


def test_a_name_is_registered_once():
    with pytest.raises(ValueError, match=r"vin\.format is registered twice"):
        computation("vin.format", "Another.")(lambda: None)


def test_the_function_stays_as_it_is():
    def twice(x):
        return 2 * x

    try:
        assert computation("test.twice", "Double.", Given("x", "A number"))(twice) is twice
        assert compute("test.twice", {"x": 2}) == 4
    finally:
        del computing._registry["test.twice"]


def test_names_come_in_order():
    assert list(registry()) == sorted(registry())


@pytest.mark.parametrize("name", ["no.such", "", "vin", "VIN.FORMAT"])
def test_an_unknown_name_is_refused(name):
    with pytest.raises(Refused, match="There is no computation"):
        find(name)


@pytest.mark.parametrize("name", [None, 3, ["vin.format"], {}])
def test_a_name_that_is_no_text_is_refused(name):
    with pytest.raises(Refused, match="The name of a computation is missing"):
        compute(name, {})


@pytest.mark.parametrize("values", [None, [], "vin", 3, True])
def test_values_that_are_no_object_are_refused(values):
    with pytest.raises(Refused, match="must be an object"):
        compute("vin.format", values)


def test_a_missing_value_is_named_with_what_is_allowed():
    with pytest.raises(Refused) as refused:
        compute("vin.format", {})

    assert refused.value.as_dict() == {
        "field": "vin",
        "message": "The vehicle identification number is missing.",
        "allowed": "text",
    }


def test_null_counts_as_absent():
    assert looked_at(Given("x", "X", optional=True), None) == {}


def test_a_key_that_is_not_asked_for_is_refused():
    with pytest.raises(Refused, match=r"vin : vin\.format does not ask for this") as refused:
        compute("vin.format", {"vin ": "x"})

    assert refused.value.allowed == "vin"


def test_a_value_outside_the_range_says_the_range():
    refused = refusal(NUMBER, 12.5)

    assert refused.message == "12.5 is outside the range in which this holds: 0 to 10 A."
    assert refused.allowed == "a number, 0 to 10 A"


@pytest.mark.parametrize("edge", [0, 10, 0.0, 10.0])
def test_the_edges_of_the_range_are_inside(edge):
    assert looked_at(NUMBER, edge) == {"amps": edge}


def test_an_exclusive_lower_edge_is_outside():
    assert "above 0 A" in refusal(Given("x", "X", unit="A", above=0), 0).message


@pytest.mark.parametrize(
    ("item", "words"),
    [
        (Given("x", "X"), "a number"),
        (Given("x", "X", low=1), "a number, 1 or more"),
        (Given("x", "X", unit="V", high=5), "a number, 5 V or less"),
        (Given("x", "X", unit="V", above=0, high=5), "a number, above 0, up to 5 V"),
        (Given("x", "X", kind="choice", choices=("a", "b")), "one of a, b"),
        (Given("x", "X", kind="whole", low=1), "a whole number, 1 or more"),
    ],
)
def test_what_is_allowed_is_said_in_words(item, words):
    assert item.allowed == words


@pytest.mark.parametrize("value", ["1", True, [1], {}, float("nan"), float("inf"), 10**400])
def test_what_is_no_number_is_refused(value):
    assert refusal(Given("x", "X"), value).field == "x"


@pytest.mark.parametrize("value", [Decimal("2.5"), Fraction(5, 2)])
def test_exact_numbers_are_taken(value):
    assert looked_at(Given("x", "X"), value) == {"x": 2.5}


def test_a_whole_number_may_be_written_with_a_point():
    taken = looked_at(Given("x", "X", kind="whole"), 3.0)["x"]

    assert (taken, type(taken)) == (3, int)


def test_half_is_not_whole():
    assert refusal(Given("x", "X", kind="whole"), 0.5).message == "0.5 is not a whole number."


@pytest.mark.parametrize(
    ("kind", "value"),
    [
        ("text", 3),
        ("text", "x" * (computing.LONGEST_TEXT + 1)),
        ("choice", "c"),
        ("choice", []),
        ("yes", 1),
        ("object", []),
        ("numbers", 3),
        ("numbers", ["1"]),
        ("numbers", [11]),
        ("texts", [1]),
        ("list", {}),
    ],
)
def test_a_value_of_another_kind_is_refused(kind, value):
    assert refusal(Given("x", "X", kind=kind, choices=("a", "b"), high=10), value).field == "x"


def test_a_list_that_is_too_short_is_refused():
    assert "at least 2" in refusal(Given("x", "X", kind="numbers", least=2), [1]).message


def test_a_long_value_is_shown_short():
    assert len(refusal(Given("x", "X"), "y" * 5000).message) < 80


@pytest.mark.parametrize("answer", [float("nan"), [1.0, float("inf")], {"a": {"b": float("-inf")}}])
def test_an_answer_that_is_not_finite_is_refused(answer, monkeypatch):
    monkeypatch.setitem(computing._registry, "test.wild", Computation("test.wild", lambda: answer, "x", ()))

    with pytest.raises(Refused, match="no finite answer"):
        compute("test.wild", {})


def test_a_division_by_nothing_is_refused(monkeypatch):
    ratio = Computation("test.ratio", lambda x: 1 / x, "x", (Given("x", "X"),))
    monkeypatch.setitem(computing._registry, "test.ratio", ratio)

    with pytest.raises(Refused, match="no finite answer"):
        compute("test.ratio", {"x": 0})


def test_a_refusal_of_the_function_itself_is_passed_on(monkeypatch):
    def no_pairs():
        raise ValueError("Two rows are needed.")

    monkeypatch.setitem(computing._registry, "test.pairs", Computation("test.pairs", no_pairs, "x", ()))

    with pytest.raises(Refused, match="given: Two rows are needed"):
        compute("test.pairs", {})


def is_answered(name, values):
    try:
        compute(name, values)
    except Refused:
        return False
    return True


def stand_in(item):
    """The example of a value; where one is to be chosen and none is given, the first."""
    if item.example is not None:
        return item.example
    return item.choices[0] if item.choices else False if item.kind == "yes" else None


@pytest.mark.parametrize("name", registry())
def test_a_computation_says_its_meaning_and_answers_its_own_examples(name):
    found = registry()[name]
    examples = {item.key: item.example for item in found.given if item.example is not None}
    needed = {item.key: stand_in(item) for item in found.given if not item.optional}
    # Where one of several ways to give a value is chosen, not all examples go together.
    choices = [needed, needed | examples, *(needed | {key: value} for key, value in examples.items())]

    assert found.meaning
    assert found.source or found.mark != "read"
    assert any(is_answered(name, values) for values in choices)


VALUES = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4),
    max_leaves=12,
)


@given(st.sampled_from(sorted(registry())), st.data())
def test_any_value_is_answered_or_refused(name, data):
    keys = [item.key for item in registry()[name].given]
    values = data.draw(st.dictionaries(st.sampled_from(keys) if keys else st.text(), VALUES))

    try:
        answer = compute(name, values)
    except Refused as refused:
        answer = refused.as_dict()

    assert as_json(answer)
