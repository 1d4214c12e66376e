"""What one person made of one return, ready to be kept: codes with their evidence, one change."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

KNOWN_STEPS: Mapping[str, str] = {
    "reported": "When it was reported",
    "seen": "When it was tried to be seen",
    "measured": "When it was measured",
    "cause": "When the cause was named",
    "repair": "When it was repaired",
    "proved": "When it was tried out",
    "papers": "At hand-over",
}
"""The links of the chain at which somebody could have known, with the words of the form."""


@dataclass(frozen=True, slots=True)
class Rests:
    """What one code rests on: facts of the records as they were cited, and words."""

    facts: tuple[tuple[str, str], ...] = ()  # key and text of each
    says: str = ""

    def as_kept(self) -> dict[str, Any]:
        """The form in which it is stored; the texts stay readable when the records change."""
        return {"facts": [list(fact) for fact in self.facts], "says": self.says}


@dataclass(frozen=True, slots=True)
class Change:
    """One change with who makes it, by when, and when its effect is looked at. Empty where there is none."""

    kind: str = ""
    text: str = ""
    owner: str = ""
    due: date | None = None
    check_on: date | None = None


@dataclass(frozen=True, slots=True)
class Coding:
    """One primary code, up to two contributing, one escape point, the evidence of each code."""

    primary: str
    escape_point: str
    contributing: tuple[str, ...] = ()
    evidence: Mapping[str, Rests] = field(default_factory=dict)
    known_then: Mapping[str, str] = field(default_factory=dict)
    change: Change = field(default_factory=Change)

    def as_kept(self) -> dict[str, Any]:
        """The fields of the stored review."""
        return {
            "primary": self.primary,
            "escape_point": self.escape_point,
            "contributing": list(self.contributing),
            "evidence": {code: rests.as_kept() for code, rests in self.evidence.items()},
            "known_then": {link: text for link, text in self.known_then.items() if text},
            "change_kind": self.change.kind,
            "change": self.change.text,
            "change_owner": self.change.owner,
            "change_due": self.change.due,
            "check_on": self.change.check_on,
        }
