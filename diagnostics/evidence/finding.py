"""What a rule says about one record."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from diagnostics.evidence.rules import RULES, Rule

State = Literal["gap", "explained", "pending"]


@dataclass(frozen=True, slots=True)
class Signature:
    """A reason and who gave it, with the second name where there is one."""

    reason: str
    by: str
    approved_by: str = ""


@dataclass(frozen=True, slots=True)
class Raised:
    """A rule that fired, before explanations are looked at.

    `own` holds explanations written on the record itself: a valid waiver, disposition or acceptance.
    """

    rule: str
    subject: str
    text: str
    complaints: tuple[str, ...] = ()
    critical: bool = False
    own: tuple[Signature, ...] = ()


@dataclass(frozen=True, slots=True)
class Finding:
    """One result of a rule: a gap, an explained finding, or pending while the order is open.

    `subject` is the id of the record (R4: complaint id:step code; R13: the component). `complaint`
    is the complaint it belongs to, '' if none; `complaints` all of them, where there are several.
    `explanation` is the one that explains it. `unapproved` is one that lacks a valid second name, so
    that the gap stays. `exempt`: no second name was asked for, because the shop is registered as
    one-person; to be printed.
    """

    rule: str
    subject: str
    state: State
    text: str
    complaints: tuple[str, ...] = ()
    critical: bool = False
    explanation: Signature | None = None
    unapproved: Signature | None = None
    exempt: bool = False

    @property
    def complaint(self) -> str:
        """The complaint the finding belongs to, '' if none."""
        return self.complaints[0] if self.complaints else ""

    @property
    def about(self) -> Rule:
        """The rule that fired."""
        return RULES[self.rule]

    @property
    def title(self) -> str:
        """Short heading for pages."""
        return self.about.title

    @property
    def needs_second_name(self) -> bool:
        """Whether an explanation counts only when a second person approved it."""
        return needs_second_name(self.rule, critical=self.critical)


def needs_second_name(rule: str, *, critical: bool) -> bool:
    """Return whether explaining this rule takes a second name (practice.md section 6)."""
    asks = RULES[rule].second_name
    return asks == "always" or (asks == "critical" and critical)
