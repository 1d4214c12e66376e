"""What a code is called: the shop's own table first, then a starter list in our own words.

A meaning is given only where the standard controls the code. What a maker's code means stands in the
maker's own information, which this project does not hold.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from diagnostics.codes.structure import Code

CONTROL_WORDS = {
    "iso-sae": "defined by the standard",
    "manufacturer": "defined by the vehicle’s maker: look it up in the maker’s information",
    "reserved": "reserved: sources disagree on who defines it",
}


@dataclass(frozen=True, slots=True)
class Meaning:
    """What is known of a code in words; `text` is empty where no list has it."""

    text: str
    source: str
    """`shop`, `starter` or empty."""
    failure_type: str
    area: str
    control: str


def meaning_of(code: Code, shop: Mapping[str, str] | None = None) -> Meaning:
    """Return what a code is called and what its layout says.

    Parameters
    ----------
    code : Code
    shop : mapping of text to text
        The shop's own meanings by code; one for `P0123-11` goes before one for `P0123`.

    References
    ----------
    .. [1] `meanings.toml` beside this module, which names its origin.
    """
    own = shop or {}
    text, source = own.get(str(code)) or own.get(code.base, ""), "shop"
    if not text:
        text, source = starter_codes().get(code.base, ""), "starter"
    return Meaning(
        text=text,
        source=source if text else "",
        failure_type=failure_types().get(code.failure_type, ""),
        area=code.area,
        control=CONTROL_WORDS[code.control],
    )


def starter_codes() -> Mapping[str, str]:
    """Return the starter list: meaning by code of five characters."""
    return _file()["codes"]


def failure_types() -> Mapping[str, str]:
    """Return the meaning of the failure-type byte by its two hexadecimal digits."""
    return _file()["failure_types"]


@cache
def _file() -> dict[str, dict[str, str]]:
    return tomllib.loads(Path(__file__).with_name("meanings.toml").read_text(encoding="utf-8"))
