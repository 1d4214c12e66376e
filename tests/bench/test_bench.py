import json
import subprocess
import sys

import pytest

from tests.bench.shop import ROOT
from tests.bench.timing import Comparison, in_turns, table


def test_a_ratio_is_of_the_medians():
    assert Comparison("a", [1, 6, 100], "b", [3, 2, 1]).ratio == 3


def test_things_are_done_in_turns():
    done = []

    in_turns(2, lambda: done.append("a"), lambda: done.append("b"))

    assert done == ["a", "b", "a", "b"]


def test_the_table_shows_milliseconds_and_the_ratio():
    _, row = table([Comparison("page", [0.01], "bare page", [0.002])]).splitlines()

    assert row.split() == ["page", "10.0", "10.0", "10.0", "100.0", "bare", "page", "2.0", "5.00"]


@pytest.mark.slow
def test_each_part_gives_its_comparisons():
    # In a process of its own: the settings of this one point elsewhere.
    command = [sys.executable, "-m", "tests.bench", "--orders", "60", "--repeats", "1", "--json"]
    said = subprocess.run(command, cwd=ROOT, check=True, capture_output=True, text=True)

    names = {comparison["name"] for comparison in json.loads(said.stdout)}
    assert {
        "job page",
        "findings sheet, warm",
        "import of 60 orders",
        "gaps --all",
        "capture, CSV",
        "next test, 18 x 20",
        "counted anew, SQLite",
    } <= names
