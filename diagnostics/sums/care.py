"""The cautions that go with a sum: the sentences of the starter library, by their code."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path

from diagnostics import catalogue


def care(*codes: str) -> tuple[str, ...]:
    """Return the caution sentences of these codes, in that order; an unknown code is a KeyError."""
    known = _texts()
    return tuple(known[code] for code in codes)


@cache
def _texts() -> dict[str, str]:
    path = Path(catalogue.__file__).parent / catalogue.CAUTIONS_FILE
    with path.open("rb") as file:
        return {code: str(row["text"]) for code, row in tomllib.load(file).items()}
