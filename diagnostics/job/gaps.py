"""Findings as they stand on the page: what is missing, and where to do it, explain it, or leave it open."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from urllib.parse import urlencode

from django.urls import reverse

from diagnostics.evidence import Finding
from diagnostics.job.forms import FORMS
from diagnostics.job.records import Records
from shared.moments import Moment
from shop.models import RepairOrder


@dataclass(frozen=True, slots=True)
class Gap:
    """One finding with its acts. `step` is the required step it asks for, where it is one."""

    finding: Finding
    title: str
    text: str
    state: str  # gap, explained, kept
    do: str = ""
    do_word: str = "Do it"
    explain: str = ""
    close: str = ""
    approve: str = ""
    by: str = ""
    reason: str = ""
    when: datetime | Moment | None = None

    @property
    def rule(self) -> str:
        return self.finding.rule

    @property
    def is_open(self) -> bool:
        return self.state != "explained"


Act = tuple[str, int | None, dict[str, Any], str]  # kind of form, row, prefilled values, word on the button


class Gaps:
    """Turns the findings of one order into gaps for one reader."""

    def __init__(
        self, order: RepairOrder, records: Records, user: Any, *, name_of: Callable[[str], str]
    ) -> None:
        self.order, self.records, self.user, self.name_of = order, records, user, name_of

    def views(self, findings: Iterable[Finding]) -> list[Gap]:
        return [self._view(finding) for finding in findings]

    def url(self, kind: str, row: int | None = None, **values: Any) -> str:
        """The address of a form, or nothing where this person may not use it or the order is closed."""
        form = FORMS[kind]
        if not (self.order.is_open or form.even_closed) or not any(map(self.user.has_role, form.roles)):
            return ""
        return form_url(self.order.pk, kind, row, **values)

    def _view(self, finding: Finding) -> Gap:
        if finding.state == "explained":
            return self._explained(finding)
        do, word = self._do(finding)
        kept = finding.state == "gap" and not self.order.is_open
        unapproved = finding.unapproved
        return Gap(
            finding=finding,
            title=self._title(finding),
            text=finding.text,
            state="kept" if kept else "gap",
            do=do,
            do_word=word,
            explain=self._explain(finding),
            close="" if kept else "#close",
            approve=self._approve(finding) if unapproved else "",
            by=unapproved.by if unapproved else (self.order.closed_by if kept else ""),
            reason=unapproved.reason if unapproved else (self.order.closing_reason if kept else ""),
            when=self.order.returned if kept and not unapproved else None,
        )

    def _explained(self, finding: Finding) -> Gap:
        signature = finding.explanation
        names = " and ".join(filter(None, [signature.by, signature.approved_by])) if signature else ""
        signed = [row.signed_at for row in self.records.explanations if _explains(row, finding)]
        return Gap(
            finding=finding,
            title=self._title(finding),
            text=finding.text,
            state="explained",
            by=names,
            reason=signature.reason if signature else "",
            when=signed[-1] if signed else None,
        )

    def _title(self, finding: Finding) -> str:
        """The rule's heading; of a required test, the test."""
        step = self.records.step(finding.subject) if finding.rule == "R4" else None
        return f"{self.name_of(step.code)}: not done" if step else finding.title

    def _do(self, finding: Finding) -> tuple[str, str]:
        act = _ACTS[finding.rule](finding, self.records) if finding.rule in _ACTS else None
        if act is None:
            return "", ""
        kind, row, values, word = act
        return self.url(kind, row, **values), word

    def _explain(self, finding: Finding) -> str:
        own = _OWN_EXPLANATIONS.get(finding.rule)
        row = own(finding, self.records) if own else None
        if row:
            return self.url(*row)
        return self.url("explanation", None, rule=finding.rule, subject=finding.subject)

    def _approve(self, finding: Finding) -> str:
        """Where a second person puts a name under what was signed by one."""
        if self.user.signs_as in (finding.unapproved.by, self.order.technician):
            return ""
        step = self.records.step(finding.subject) if finding.rule == "R4" else None
        if step and step.is_waived:
            return self.url("waiver-approval", step.pk)
        signed = [row for row in self.records.explanations if _explains(row, finding)]
        return self.url("approval", signed[-1].pk) if signed else ""


def form_url(order_pk: int, kind: str, row: int | None = None, **values: Any) -> str:
    """The address of one form of an order, with values that it opens with."""
    args = [order_pk, kind] if row is None else [order_pk, kind, row]
    address = reverse("order-record" if row is None else "order-record-row", args=args)
    given = {name: value for name, value in values.items() if value not in (None, "", [], ())}
    return f"{address}?{urlencode(given, doseq=True)}" if given else address


def _explains(row: Any, finding: Finding) -> bool:
    return (row.rule, row.subject) == (finding.rule, finding.subject)


def _complaint_form(kind: str, word: str) -> Callable[[Finding, Records], Act]:
    return lambda finding, records: (kind, None, {"complaint": finding.complaint}, word)


def _bare_attempt(finding: Finding, records: Records) -> Act | None:
    rows = [row for row in records.attempts.get(finding.subject, []) if not row.conditions.strip()]
    return ("attempt-correction", rows[0].pk, {}, "Write the conditions") if rows else None


def _step(finding: Finding, records: Records) -> Act | None:
    step = records.step(finding.subject)
    if step is None:
        return None
    values = {"code": step.code, "phase": step.phase, "complaint": step.complaint.ref}
    return "reading", None, values, "Do it"


def _correct(word: str) -> Callable[[Finding, Records], Act | None]:
    def act(finding: Finding, records: Records) -> Act | None:
        run = records.tests.get(finding.subject)
        return ("correction", run.pk, {}, word) if run else None

    return act


def _take_again(phase: str = "") -> Callable[[Finding, Records], Act | None]:
    def act(finding: Finding, records: Records) -> Act | None:
        run = records.tests.get(finding.subject)
        if run is None:
            return None
        values = {
            "code": run.code,
            "phase": phase or run.phase,
            "complaint": run.complaint_ref,
            "point": run.point,
        }
        return "test", None, values, "Take it again"

    return act


def _marginal(finding: Finding, records: Records) -> Act | None:
    item = records.work.get(finding.subject)
    if item is None:
        return _take_again("after")(finding, records)
    return "test", None, {"complaint": item.complaint_ref}, "Take another reading"


def _follow_up(finding: Finding, records: Records) -> Act:
    values = {"complaint": finding.complaint, "evidence": [finding.subject]}
    return "cause", None, values, "Name its cause"


def _correct_work(word: str) -> Callable[[Finding, Records], Act | None]:
    def act(finding: Finding, records: Records) -> Act | None:
        item = records.work.get(finding.subject)
        return ("work-correction", item.pk, {}, word) if item else None

    return act


def _isolate(finding: Finding, records: Records) -> Act | None:
    item = records.work.get(finding.subject)
    cause = next((c for c in records.causes.values() if item and c.component == item.component), None)
    if cause:
        return "cause-correction", cause.pk, {}, "Cite the reading"
    return (
        "cause",
        None,
        {"complaint": finding.complaint, "component": item.component if item else ""},
        "Name it",
    )


def _rival(finding: Finding, records: Records) -> Act | None:
    open_ones = [s for s in records.suspects if s.component == finding.subject]
    return ("suspect-state", open_ones[0].pk, {"state": "ruled_out"}, "Rule it out") if open_ones else None


def _assumption(kind: str, word: str) -> Callable[[Finding, Records], Act | None]:
    def act(finding: Finding, records: Records) -> Act | None:
        row = records.assumptions.get(finding.subject)
        return (kind, row.pk, {}, word) if row else None

    return act


def _check(finding: Finding, records: Records) -> Act:
    return "check", None, {"work": finding.subject}, "Have it checked"


def _declined(finding: Finding, records: Records) -> Act | None:
    row = records.declined.get(finding.subject)
    return ("declined-follow-up", row.pk, {}, "Write it down") if row else None


_ACTS: dict[str, Callable[[Finding, Records], Act | None]] = {
    "R1": _complaint_form("attempt", "Try it"),
    "R2": _complaint_form("trial-plan", "Plan the trials"),
    "R3": _bare_attempt,
    "R4": _step,
    "R5": _correct("Write what was measured"),
    "R6": _correct("Write the limits"),
    "R7": _correct("Name the instrument"),
    "R8": _take_again(),
    "R9": _follow_up,
    "R11": _correct_work("Cite the reading"),
    "R12": _isolate,
    "R13": _rival,
    "R14": _assumption("assumption-settled", "Settle it"),
    "R15": lambda finding, records: ("reversal", None, {}, "Reverse it"),
    "R16": _marginal,
    "R17": _take_again("after"),
    "R18": _take_again("after"),
    "R19": _complaint_form("trials", "Try it again"),
    "R20": _complaint_form("trials", "Try it again"),
    "R21": _complaint_form("trials", "Try it without"),
    "R22": _check,
    "R23": _declined,
    "R24": lambda finding, records: ("minutes", None, {}, "Ask for more"),
    "R25": _complaint_form("hand-off", "Write the hand-off"),
    "R26": _correct_work("Say why it failed"),
}


def _waiver(finding: Finding, records: Records) -> tuple[str, int] | None:
    step = records.step(finding.subject)
    return ("waiver", step.pk) if step else None


def _disposition(finding: Finding, records: Records) -> tuple[str, int] | None:
    run = records.tests.get(finding.subject)
    return ("disposition", run.pk) if run else None


def _acceptance(finding: Finding, records: Records) -> tuple[str, int] | None:
    row = records.assumptions.get(finding.subject)
    return ("assumption-accepted", row.pk) if row else None


_OWN_EXPLANATIONS: dict[str, Callable[[Finding, Records], tuple[str, int] | None]] = {
    "R4": _waiver,
    "R9": _disposition,
    "R14": _acceptance,
}
