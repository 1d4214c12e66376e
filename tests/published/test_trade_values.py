"""Every worked example of trade-values.md section 8, asked by name as a script would ask it.

The rows stand in trade_values.md beside this file, each with its own source and how it is known (read, from
memory, computed, common practice); the file ends with the list of sources. A topic that nobody registers is
a failure, not a row to pass over.
"""

import json
import re
from numbers import Real
from pathlib import Path

import pytest

from shared.computing import compute, registry

PAGE = Path(__file__).parent / "trade_values.md"
ROWS_ON_THE_PAGE = 230
COLUMNS = ("id", "topic", "given", "expect", "tolerance", "source", "status")


def rows():
    lines = [
        line for line in PAGE.read_text(encoding="utf-8").splitlines() if re.match(r"\| EX-\d+ \|", line)
    ]
    return [_row(line) for line in lines]


def _row(line):
    row = dict(zip(COLUMNS, line.strip().removeprefix("| ").removesuffix(" |").split(" | "), strict=True))
    return {
        **row,
        "topic": row["topic"].strip("`"),
        "given": json.loads(row["given"].strip("`")),
        "expect": json.loads(row["expect"].strip("`")),
        "tolerance": None if row["tolerance"] == "exact" else float(row["tolerance"]),
    }


def agrees(answer, expect, tolerance):
    """Whether an answer is the expected one: lists and objects part by part, numbers within the tolerance."""
    if isinstance(expect, dict):
        return (
            isinstance(answer, dict)
            and answer.keys() == expect.keys()
            and all(agrees(answer[key], expect[key], tolerance) for key in expect)
        )
    if isinstance(expect, list):
        return (
            isinstance(answer, list)
            and len(answer) == len(expect)
            and all(agrees(one, other, tolerance) for one, other in zip(answer, expect, strict=True))
        )
    if _is_number(expect) and _is_number(answer):
        return answer == expect if tolerance is None else abs(answer - expect) <= tolerance
    return type(answer) is type(expect) and answer == expect


def _is_number(value):
    return isinstance(value, Real) and not isinstance(value, bool)


def test_all_rows_of_the_page_are_read():
    found = rows()

    assert len(found) == ROWS_ON_THE_PAGE
    assert [row["id"] for row in found] == [f"EX-{number:03}" for number in range(1, ROWS_ON_THE_PAGE + 1)]


@pytest.mark.parametrize("row", rows(), ids=lambda row: f"{row['id']}-{row['topic']}")
def test_the_answer_is_that_of_the_page(row):
    answer = json.loads(json.dumps(compute(row["topic"], row["given"])))  # As it goes out on the line.

    assert agrees(answer, row["expect"], row["tolerance"]), f"{answer!r}, expected {row['expect']!r}"


@pytest.mark.parametrize("topic", sorted({row["topic"] for row in rows()}))
def test_the_topic_is_registered_and_says_its_source(topic):
    found = registry()[topic]

    assert found.meaning
    assert found.source


@pytest.mark.parametrize(
    ("answer", "expect", "tolerance"),
    [
        (1.2, 1.0, 0.1),
        (1.0000001, 1.0, None),
        (True, 1, None),
        (None, 0, 1.0),
        ("1", 1, None),
        ([1.0], [1.0, 2.0], 1.0),
        ({"a": 1.0, "b": 2.0}, {"a": 1.0}, 1.0),
        ([1, 5], [1, 2], 0.1),
        (float("nan"), 1.0, 1.0),
    ],
)
def test_the_comparison_sees_a_difference(answer, expect, tolerance):
    assert not agrees(answer, expect, tolerance)


def test_the_comparison_allows_what_the_tolerance_allows():
    assert agrees({"a": [1.05, "ok", None]}, {"a": [1, "ok", None]}, 0.1)
