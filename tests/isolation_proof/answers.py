"""The exact answers of all generated problems, kept beside the code so that a test need not solve again."""

import json
from functools import cache
from pathlib import Path
from typing import Any

from tests.isolation_proof import exact, model
from tests.isolation_proof.families import FAMILIES, document

FILE = Path(__file__).with_name("answers.json")
SEEDS = range(1, 31)
DIGITS = 9
# Problems for which the solver does not end in time are left out, and counted by a test.
SECONDS = 30.0

Key = tuple[str, int]


def every_key() -> list[Key]:
    return [(family, seed) for family in FAMILIES for seed in SEEDS]


def solved(key: Key) -> dict[str, Any] | None:
    """The answer of one problem as it is kept, or None when the solver did not end."""
    answer = exact.solve(model.read(document(*key)), seconds=SECONDS)
    if answer is None:
        return None
    q = {test: round(minutes, DIGITS) for test, minutes in answer.q.items()}
    return {"value": round(answer.value, DIGITS), "q": q}


def keep() -> int:
    """Solve every problem and write the file; return how many there are."""
    lines = []
    for family, seed in every_key():
        answer = solved((family, seed))
        if answer is not None:
            lines.append(json.dumps({"family": family, "seed": seed, **answer}))
    FILE.write_text("[\n" + ",\n".join(lines) + "\n]\n", encoding="utf-8")
    return len(lines)


@cache
def kept() -> dict[Key, dict[str, Any]]:
    """The kept answers by family and seed."""
    rows = json.loads(FILE.read_text(encoding="utf-8"))
    return {(row["family"], row["seed"]): row for row in rows}
