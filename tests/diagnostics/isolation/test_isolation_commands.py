import json
import os
import subprocess
import sys
from io import StringIO

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command

from diagnostics.isolation import fixed_order, load
from tests.diagnostics.isolation.small_star import document


@pytest.fixture
def star(tmp_path):
    """The path of the small star as a file."""
    return written(tmp_path / "star.json", document())


def written(path, value):
    path.write_text(value if isinstance(value, str) else json.dumps(value), encoding="utf-8")
    return str(path)


def history(tmp_path, *entries):
    return written(
        tmp_path / "history.json", [{"test": test, "outcome": outcome} for test, outcome in entries]
    )


def run(*words):
    out = StringIO()
    call_command(*words, stdout=out)
    return out.getvalue()


def refused(capsys, *words):
    """The error of a command with --json, which ends with status 1."""
    with pytest.raises(SystemExit) as ended:
        call_command(*words, "--json")
    assert ended.value.code == 1
    return json.loads(capsys.readouterr().out)["error"]


# --- next_test ----------------------------------------------------------------------------------------


def test_the_next_test_is_told_in_words_with_its_reason(star):
    told = run("next_test", star)

    assert told.startswith("Small star, dead at the socket\n\n")
    assert "min to the fault from here" in told
    assert "Next best: “" in told
    assert "Half of such faults are found by " in told
    assert "unplug the horn unit\n" in told  # In the table.


def test_the_next_test_as_json_is_the_line_of_the_stream(star):
    told = json.loads(run("next_test", star, "--json"))

    assert list(told) == ["test", "expected_minutes", "lower_bound", "posterior", "ranking"]


def test_a_history_moves_the_search_on(star, tmp_path):
    path = history(tmp_path, ("unplug_horn", "down"), ("bar_out", "up"))

    told = json.loads(run("next_test", star, "--history", path, "--json"))

    assert told["test"] == "unplug_fan"
    assert told["posterior"]["horn"] == 0


def test_a_history_may_be_that_of_a_stream_line(star, tmp_path):
    path = written(tmp_path / "h.json", {"history": [{"test": "unplug_pump", "outcome": "up"}]})

    assert json.loads(run("next_test", star, "--history", path, "--json"))["candidate"] == "pump"


def test_a_search_that_has_ended_says_what_to_do(star, tmp_path):
    told = run("next_test", star, "--history", history(tmp_path, ("unplug_pump", "up")))

    assert "Confirm it by one reading of its own before anything is fitted." in told


def test_contradicting_readings_end_the_command_with_their_names(star, tmp_path):
    path = history(tmp_path, ("bar_out", "up"), ("unplug_pump", "up"))

    with pytest.raises(CommandError, match=r"These 2 cannot all be true: 1\. “take the bar out"):
        run("next_test", star, "--history", path)


def test_contradicting_readings_as_json_are_an_error_line(star, tmp_path, capsys):
    path = history(tmp_path, ("bar_out", "up"), ("unplug_pump", "up"))

    assert refused(capsys, "next_test", star, "--history", path)["field"] == "history"


@pytest.mark.parametrize(
    ("text", "told"),
    [("{", "not JSON"), ("", "nothing here"), ("[]", "no problem here"), ("{}", "problem")],
)
def test_a_file_that_is_no_problem_is_refused(text, told, tmp_path):
    with pytest.raises(CommandError, match=told):
        run("next_test", written(tmp_path / "bad.json", text))


def test_a_file_that_is_not_there_is_told_by_its_path(tmp_path):
    with pytest.raises(CommandError, match=r"gone\.json cannot be opened"):
        run("next_test", str(tmp_path / "gone.json"))


def test_an_unknown_outcome_is_told_with_those_allowed(star, tmp_path):
    with pytest.raises(CommandError, match=r"history\[0\]\.outcome: .* Allowed: one of up, down"):
        run("next_test", star, "--history", history(tmp_path, ("bar_out", "sideways")))


def test_asking_for_nothing_says_what_can_be_asked():
    with pytest.raises(CommandError, match="Name the file of a problem, or ask for --stream"):
        run("next_test")


def test_a_stream_answers_line_by_line_and_goes_on_after_a_bad_one():
    """In a process of its own, as a script runs it."""
    good = json.dumps({"problem": document(), "history": []})
    end = json.dumps({"problem": document(), "history": [{"test": "unplug_pump", "outcome": "up"}]})

    ended = subprocess.run(
        [sys.executable, "manage.py", "next_test", "--stream"],
        cwd=settings.BASE_DIR,
        env={**os.environ, "PYTHONIOENCODING": "ascii"},
        input="\n".join([good, "{", end, ""]).encode(),
        capture_output=True,
        timeout=120,
        check=False,
    )

    lines = [json.loads(line) for line in ended.stdout.splitlines()]
    assert [next(iter(line)) for line in lines] == ["test", "error", "candidate"]
    assert ended.returncode == 1
    assert ended.stderr == b""


# --- route --------------------------------------------------------------------------------------------


def test_a_route_as_json_is_the_fixed_order_beside_the_plan(star):
    told = json.loads(run("route", star, "--order", "unplug_horn, bar_out", "--json"))

    assert list(told) == [
        "order",
        "expected_minutes",
        "half_by",
        "nine_in_ten_by",
        "plan_minutes",
        "lower_bound",
    ]
    expected = fixed_order(load(document()), ["unplug_horn", "bar_out"]).expected_minutes
    assert told["expected_minutes"] == pytest.approx(expected)
    assert told["plan_minutes"] <= told["expected_minutes"]


def test_minutes_that_are_never_reached_are_null(star):
    assert json.loads(run("route", star, "--order", "unplug_horn", "--json"))["half_by"] is None


def test_a_route_in_words_says_what_it_costs_beside_the_plan(star):
    told = run("route", star, "--order", "unplug_fan,unplug_horn,bar_out,unplug_pump,unplug_lamp")

    assert "  1. unplug the fan unit\n  2. unplug the horn unit\n" in told
    assert "more on average." in told


def test_a_route_goes_on_from_a_history(star, tmp_path):
    path = history(tmp_path, ("bar_out", "up"))

    told = json.loads(run("route", star, "--order", "unplug_fan", "--history", path, "--json"))

    assert told["expected_minutes"] < 240


@pytest.mark.parametrize(
    ("order", "told"),
    [
        ("unplug_moon", "There is no test 'unplug_moon'"),
        (" , ", "names no test"),
        ("bar_out,bar_out", "stands in the order twice"),
    ],
)
def test_an_order_that_cannot_be_is_refused(order, told, star, capsys):
    error = refused(capsys, "route", star, "--order", order)

    assert error["field"] == "order"
    assert told in error["message"]


def test_a_route_on_contradicting_readings_is_refused(star, tmp_path):
    path = history(tmp_path, ("bar_out", "up"), ("unplug_pump", "up"))

    with pytest.raises(CommandError, match="no suspect fits all of them"):
        run("route", star, "--order", "unplug_fan", "--history", path)
