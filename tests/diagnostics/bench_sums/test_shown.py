import pytest

from diagnostics.bench_sums import shown
from shared.computing import Computation, Given


def a_sum(**about):
    about = {"name": "bench.one", "function": lambda: 1, "meaning": "one thing", "given": (), **about}
    return Computation(**about)


def plain(text):
    return text.replace("\xa0", " ")


@pytest.mark.parametrize(
    ("mark", "words"),
    [
        ("read", "Read in the standard"),
        ("from memory", "From memory of the standard"),
        ("common practice", "Common practice: the standard"),
        ("computed", "Computed: the standard"),
        ("project rule", "A rule of this site: the standard"),
    ],
)
def test_the_mark_of_a_source_is_told_in_words(mark, words):
    assert shown.source_words(a_sum(mark=mark, source="the standard")) == words


def test_a_sum_without_a_source_still_says_how_it_is_known():
    assert shown.source_words(a_sum(mark="common practice")) == "Common practice"


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (0.123456789, "V", "0.12346 V"),
        (3, "", "3"),
        (0.95, "1", "0.95"),
        (0.083, "unit of the reading", "0.083 (unit of the reading)"),
        (True, "", "yes"),
        (None, "V", "none"),
        ([], "", "none"),
        ("not-proved", "", "not proved"),
        ("68 6A F1", "", "68 6A F1"),
        ("P0171-11", "", "P0171-11"),
        ([12.5, 65.0], "mA", "12.5; 65 mA"),
        (["P0171", "P0174"], "", "P0171, P0174"),
        ({"low": 1.5, "high_volts": 2}, "", "Low: 1.5; High: 2"),
    ],
)
def test_a_value_is_shown_as_it_is_read(value, unit, text):
    assert plain(shown.text_of(value, unit)) == text


def test_of_a_long_list_the_rest_is_counted():
    text = shown.text_of([float(n) for n in range(1000)])

    assert text.startswith("0, 1, 2")
    assert text.endswith(f"and {1000 - shown.MOST_SHOWN} more")


def test_an_answer_with_parts_names_each_with_its_unit():
    found = a_sum(answers={"limit_volts": "V", "verdict": ""}, says=lambda answer, given: "So it is.")

    answer = shown.answer_of(found, {"verdict": "within", "limit_volts": 0.1}, {})

    assert [(part.label, plain(part.text)) for part in answer.parts] == [
        ("Verdict", "within"),
        ("Limit", "0.1 V"),
    ]
    assert (answer.plain, answer.sentence) == ("", "So it is.")


@pytest.mark.parametrize(("given", "text"), [({}, "5 kPa"), ({"unit": "psig"}, "5 psig")])
def test_an_answer_is_in_the_unit_that_was_chosen(given, text):
    unit = Given("unit", "Unit", kind="choice", choices=("kPa", "psig"), optional=True)

    assert plain(shown.answer_of(a_sum(unit="kPa", given=(unit,)), 5.0, given).plain) == text


def test_the_unit_of_what_was_given_is_not_that_of_the_answer():
    unit = Given("unit", "Unit", kind="choice", choices=("kPa", "psig"))

    assert plain(shown.answer_of(a_sum(unit="°C", given=(unit,)), 5.0, {"unit": "psig"}).plain) == "5 °C"


def test_sums_stand_under_their_headings_and_those_without_one_are_left_out():
    found = [a_sum(name="b", group="Wire"), a_sum(name="a", group="Battery"), a_sum(name="c")]

    assert [(group.name, [line.name for line in group.lines]) for group in shown.in_groups(found)] == [
        ("Battery", ["a"]),
        ("Wire", ["b"]),
    ]


@pytest.mark.parametrize(
    ("words", "names"),
    [("DROP", ["a"]), ("drop wire", ["a"]), ("drop battery", []), ("", ["a", "b"]), ("length", ["a"])],
)
def test_a_search_finds_sums_that_hold_every_word(words, names):
    length = Given("metres", "Length of the run", "m")
    found = [
        a_sum(name="a", group="Wire", meaning="voltage drop", given=(length,)),
        a_sum(name="b", group="Wire"),
    ]

    assert [line.name for group in shown.in_groups(found, words) for line in group.lines] == names
