import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnostics.isolation import Done, advise, load
from diagnostics.isolation.asked import MOST_KEPT, Desk
from tests.diagnostics.isolation.small_star import document

KEYS = ["expected_minutes", "lower_bound", "posterior", "ranking"]


def line(history=None, **changes):
    return json.dumps({"problem": document(**changes), "history": history or []})


def done(*entries):
    return [{"test": test, "outcome": outcome} for test, outcome in entries]


def answer(text, desk=None):
    told, answered = (desk or Desk()).answer_line(text)
    return json.loads(told), answered


def refused(text):
    told, answered = answer(text)
    assert not answered
    assert list(told) == ["error"]
    assert list(told["error"]) == ["field", "message", "allowed"]
    return told["error"]


def test_a_line_is_answered_with_exactly_these_keys():
    told, answered = answer(line())

    assert answered
    assert list(told) == ["test", *KEYS]
    assert list(told["ranking"][0]) == ["test", "expected_minutes", "minutes"]


def test_the_answer_is_that_of_the_planner():
    advice = advise(load(document()), (Done("unplug_horn", "down"),))

    told, _ = answer(line(done(("unplug_horn", "down"))))

    assert told["test"] == advice.test
    assert told["expected_minutes"] == pytest.approx(advice.expected_minutes)
    assert told["posterior"] == pytest.approx(dict(advice.posterior))
    assert [each["test"] for each in told["ranking"]] == [each.test for each in advice.ranking]


def test_where_stopping_is_best_the_candidate_is_named():
    told, _ = answer(line(done(("unplug_pump", "up"))))

    assert list(told) == ["candidate", *KEYS]
    assert told["candidate"] == "pump"


def test_a_line_without_a_history_starts_anew():
    told, _ = answer(json.dumps({"problem": document()}))

    assert told["test"] == answer(line())[0]["test"]


def test_readings_that_contradict_each_other_are_named():
    error = refused(line(done(("unplug_horn", "down"), ("bar_out", "up"), ("unplug_pump", "up"))))

    assert error["field"] == "history"
    assert "2. “take the bar out at the hub: the line comes up”" in error["message"]
    assert "Measure again" in error["allowed"]


@pytest.mark.parametrize(
    ("text", "field", "told"),
    [
        ("", "line", "nothing here"),
        ("{problem", "line", "not JSON"),
        ("[1]", "line", "must be an object"),
        ('{"history": []}', "problem", "no problem here"),
        ('{"problem": 7}', "problem", "no problem here"),
        (b"\xff\xfe", "line", "not UTF-8"),
        ('{"problem": {"prior": NaN}}', "line", "NaN"),
    ],
)
def test_a_line_that_is_no_question_is_refused(text, field, told):
    error = refused(text)

    assert error["field"] == field
    assert told in error["message"]
    assert error["allowed"]


@pytest.mark.parametrize(
    ("history", "field", "told", "allowed"),
    [
        ({"test": "bar_out"}, "history", "must be a list", '{"test": id'),
        (["bar_out"], "history[0]", "names a test and the outcome", '{"test": id'),
        ([*done(("bar_out", "up")), {"test": "bar_out"}], "history[1]", "names a test", '{"test": id'),
        (done(("unplug_moon", "up")), "history[0].test", "no test 'unplug_moon'", "unplug_pump"),
        (done(("bar_out", "sideways")), "history[0].outcome", "cannot read 'sideways'", "one of up, down"),
        ([{"test": 7, "outcome": "up"}], "history[0]", "names a test", '{"test": id'),
    ],
)
def test_a_history_that_is_none_of_the_problem_is_refused_by_its_place(history, field, told, allowed):
    error = refused(json.dumps({"problem": document(), "history": history}))

    assert error["field"] == field
    assert told in error["message"]
    assert allowed in error["allowed"]


def test_a_fault_of_the_document_is_named_by_its_path():
    wrong = document()
    wrong["candidates"][1]["prior"] = 7

    error = refused(json.dumps({"problem": wrong}))

    assert error["field"].startswith("problem.candidates")
    assert "prior" in error["field"] + error["message"]


def test_a_problem_is_read_once_and_its_plans_are_kept():
    desk = Desk()

    assert desk.problem(document()) is desk.problem(document())
    assert desk.problem(document()) is not desk.problem(document(title="Another"))


def test_only_the_last_few_problems_are_kept():
    desk = Desk()
    first = desk.problem(document())

    for number in range(MOST_KEPT):
        desk.problem(document(title=f"Star {number}"))

    assert desk.problem(document()) is not first


def test_a_refused_line_leaves_the_desk_in_order():
    desk = Desk()
    before, _ = answer(line(), desk)

    answer("{", desk)

    assert answer(line(), desk) == (before, True)


VALUES = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=8,
)
KEYS_OF_A_PROBLEM = st.sampled_from(sorted(document()))


@settings(max_examples=60, deadline=None)
@given(KEYS_OF_A_PROBLEM, VALUES)
def test_whatever_stands_in_a_document_the_line_is_answered_or_refused(key, value):
    told, answered = answer(json.dumps({"problem": {**document(), key: value}}))

    assert ("error" in told) is not answered
    assert answered or "failed" not in told["error"]["message"]
