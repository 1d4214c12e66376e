import json
import os
import subprocess
import sys
from io import StringIO

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command

from shared.computing import registry

RIGHT = '{"name": "vin.verdict", "given": {"vin": "1M8GDM9AXKP042788"}}'


def run(*words, given=None):
    """Run the command as a script does, in a process of its own."""
    return subprocess.run(
        [sys.executable, "manage.py", "compute", *words],
        cwd=settings.BASE_DIR,
        env={**os.environ, "PYTHONIOENCODING": "ascii"},
        input=given,
        capture_output=True,
        timeout=120,
        check=False,
    )


def called(*words, **options):
    out = StringIO()
    call_command("compute", *words, stdout=out, **options)
    return out.getvalue()


def test_one_answer():
    assert called("vin.model_year", '{"vin": "1Z9AB1E37DB000001"}') == '{"answer": 2013}\n'


def test_a_refusal_ends_with_status_1(capsys):
    with pytest.raises(SystemExit) as ended:
        call_command("compute", "vin.model_year", '{"vin": "1Z9"}')

    assert ended.value.code == 1
    assert json.loads(capsys.readouterr().out)["error"]["field"] == "vin"


def test_bad_json_as_an_argument_is_a_refusal(capsys):
    with pytest.raises(SystemExit) as ended:
        call_command("compute", "vin.model_year", "{vin}")

    assert ended.value.code == 1
    assert json.loads(capsys.readouterr().out)["error"]["field"] == "given"


def test_asking_for_nothing_says_what_can_be_asked():
    with pytest.raises(CommandError, match="Name a computation"):
        call_command("compute")


def test_the_list_names_every_computation_with_its_source():
    lines = called("--list").splitlines()

    assert [line.split()[0] for line in lines] == list(registry())
    assert all("Source: " in line for line in lines)


def test_the_list_as_json_says_what_is_asked_for():
    found = {item["name"]: item for item in json.loads(called("--list", "--json"))}

    assert found["vin.format"]["given"][0]["key"] == "vin"
    assert {"meaning", "unit", "answers", "source", "mark"} <= found["vin.format"].keys()


def test_the_list_can_be_cut_to_one_family():
    names = [line.split()[0] for line in called("vin.", "--list").splitlines()]

    assert names
    assert all(name.startswith("vin.") for name in names)


def test_a_stream_answers_line_by_line_whatever_stands_in_it():
    lines = [
        RIGHT.encode(),
        b"",
        b"{",
        b"NaN",
        b"\xff",
        b"[" * 50_000,
        b'{"name": "\\ud800"}',
        RIGHT.encode(),
    ]

    done = run("--stream", given=b"\n".join(lines))  # The last line has no end.

    answers = [json.loads(line) for line in done.stdout.splitlines()]
    assert [list(answer) for answer in answers] == [["answer"], *[["error"]] * 6, ["answer"]]
    assert (done.returncode, done.stderr) == (1, b"")


def test_a_stream_that_is_answered_ends_with_status_0():
    done = run("--stream", given=(RIGHT + "\n").encode() * 3)

    assert (done.returncode, done.stdout, done.stderr) == (0, b'{"answer": "match"}\n' * 3, b"")


def test_an_answer_comes_before_the_next_line_is_asked():
    with subprocess.Popen(
        [sys.executable, "manage.py", "compute", "--stream"],
        cwd=settings.BASE_DIR,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
    ) as process:
        for _ in range(2):
            process.stdin.write((RIGHT + "\n").encode())
            process.stdin.flush()
            assert process.stdout.readline() == b'{"answer": "match"}\n'
        process.stdin.close()
        assert process.wait(timeout=60) == 0


def test_a_listener_who_leaves_early_sees_no_traceback():
    process = subprocess.Popen(
        [sys.executable, "manage.py", "compute", "--stream"],
        cwd=settings.BASE_DIR,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    process.stdout.close()
    process.stdin.write((RIGHT + "\n").encode() * 200)
    process.stdin.close()
    told = process.stderr.read()
    process.stderr.close()

    assert told == b""
    assert process.wait(timeout=60) in (0, 1)


def test_half_a_surrogate_pair_in_the_argument_is_a_text_like_any_other():
    done = run("vin.format", '{"vin": "\\ud800"}')

    assert (done.returncode, done.stdout) == (0, b'{"answer": "length"}\n')
