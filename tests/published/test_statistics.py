"""Every worked example of statistics.md section 7, asked by name as a script would ask it.

The rows stand in statistics.jsonl beside this file, each with its own source and how it is known (read, read
second-hand, from memory, computed by two routes). `expect` lists what the source states; an answer may say
more.
"""

import json
from numbers import Real
from pathlib import Path

import pytest

from shared.computing import compute

PAGE = Path(__file__).parent / "statistics.jsonl"
ROWS = [json.loads(line) for line in PAGE.read_text(encoding="utf-8").splitlines()]
ROWS_OF_THE_SECTION = 60


def agrees(answer, expect, tolerance):
    """Whether an answer holds what is expected: lists part by part, numbers within the tolerance."""
    if isinstance(expect, dict):
        return expect.keys() <= answer.keys() and all(
            agrees(answer[key], expect[key], tolerance) for key in expect
        )
    if isinstance(expect, list):
        return len(answer) == len(expect) and all(
            agrees(one, other, tolerance) for one, other in zip(answer, expect, strict=True)
        )
    if isinstance(expect, Real) and isinstance(answer, Real):
        most = tolerance["rel"] * abs(expect) if isinstance(tolerance, dict) else tolerance
        return abs(answer - expect) <= most
    return type(answer) is type(expect) and answer == expect


def test_all_rows_of_the_section_are_read():
    assert len(ROWS) == len({row["id"] for row in ROWS}) == ROWS_OF_THE_SECTION


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["id"])
def test_the_answer_is_that_of_the_source(row):
    answer = json.loads(json.dumps(compute(f"stats.{row['method']}", row["input"]), allow_nan=False))

    assert agrees(answer, row["expect"], row["tolerance"]), f"{answer!r}, expected {row['expect']!r}"


@pytest.mark.parametrize(
    ("answer", "expect", "tolerance"),
    [
        ({"a": 1.2}, {"a": 1.0}, 0.1),
        ({"a": 1.2}, {"a": 1.0}, {"rel": 0.1}),
        ({"a": None}, {"a": 0}, 1),
        ({"b": 1}, {"a": 1}, 1),
        ({"a": [1.0]}, {"a": [1.0, 2.0]}, 1),
        ({"a": [1.0, 5.0]}, {"a": [1.0, 2.0]}, 1),
    ],
)
def test_the_comparison_sees_a_difference(answer, expect, tolerance):
    assert not agrees(answer, expect, tolerance)
