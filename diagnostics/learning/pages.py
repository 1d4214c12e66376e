"""What the pages of the learning loop print: shares, differences and verdicts in words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django.urls import reverse

from diagnostics.job.on_order import plain_name, test_kinds
from diagnostics.learning.changes import Change
from diagnostics.learning.compared import Compared
from diagnostics.learning.proposals import ToAdd, ToAsk, ToDrop
from diagnostics.learning.proposing import Proposals
from diagnostics.models import Protocol, ProtocolAim, TestKind
from diagnostics.review.names import symptom_names, words
from diagnostics.statistics.proportions import Difference, Proportion
from diagnostics.statistics.survival import LogRank
from shared.wording import count_text, interval_text, percent_text

CURVES_P = 0.05
"""Above it two curves do not differ clearly (statistics.md section 3.4)."""


@dataclass(frozen=True, slots=True)
class Side:
    """One side of a comparison. `share` in per cent, None where only the count may be shown."""

    when: str
    share: Proportion | None
    few: bool

    @property
    def count(self) -> str:
        """The count in words."""
        return f"{self.share.count} of {self.share.of}" if self.share else "no job"

    @property
    def rate(self) -> str:
        """The share in per cent: "41.7"; empty where only the count may be shown."""
        return percent_text(self.share.share) if self.share and not self.few else ""

    @property
    def interval(self) -> str:
        """Its interval: "19.3 to 68.0"."""
        return interval_text(self.share.low, self.share.high) if self.share and not self.few else ""

    @property
    def few_words(self) -> str:
        """Why there is no rate."""
        return "too few for a rate" if self.share else ""

    @property
    def in_one(self) -> str:
        """Share and interval, or why there is none."""
        return f"{self.rate} % ({self.interval})" if self.rate else self.few_words

    @property
    def percent(self) -> tuple[float, float, float] | None:
        """Low, high and value in per cent, for a strip."""
        if self.share is None or self.few:
            return None
        return 100 * self.share.low, 100 * self.share.high, 100 * self.share.share


def sides_of(compared: Compared) -> tuple[Side, Side]:
    """Return both sides as printed."""
    return (
        Side("Before", compared.before, compared.counts.of_before < 10),
        Side("After", compared.after, compared.counts.of_after < 10),
    )


def curves_said(found: LogRank | None) -> str:
    """Return what the two curves say; empty where they cannot be compared."""
    if found is None or found.p is None:
        return ""
    later = "fewer, or later," if found.observed < found.expected else "more, or sooner,"
    if found.p > CURVES_P:
        return f"The two curves over the days do not differ clearly (log-rank p {found.p:.2f})."
    return f"Over the days they came back {later} after the change (log-rank p {found.p:.3f})."


def points(difference: Difference | None) -> str:
    """Return a difference of shares in words: "8 points more often (1 to 15)"."""
    if difference is None:
        return ""
    low, high = 100 * difference.low, 100 * difference.high
    return f"{100 * difference.value:+.0f} in 100 jobs (between {low:+.0f} and {high:+.0f})".replace("-", "−")


def expected(aim: ProtocolAim) -> str:
    """Return the expected shares in words; empty where none was written."""
    known = [
        f"{word} {percent_text(share, 0)} %"
        for word, share in (("from", aim.share_from), ("to", aim.share_to))
        if share is not None
    ]
    return " ".join(known)


def said(compared: Compared) -> str:
    """Return what may be said of one measure."""
    if compared.is_withheld:
        return (
            "Cannot tell: it was made after a bad spell, and what follows one is mostly better with nothing "
            "changed."
        )
    if compared.verdict == "helped":
        return (
            "It helped: the difference is more than chance explains. Other things may have changed with it."
        )
    if compared.verdict == "worse":
        return "It made it worse: the difference is more than chance explains."
    if compared.verdict == "no_difference":
        return "No difference seen in as many jobs as were planned for. A smaller one may be there."
    if compared.more_jobs is None:
        return "Cannot tell: no job before the change is on record."
    needed = f"Cannot tell yet: about {count_text(compared.more_jobs, 'more job')} are needed."
    few = count_text(compared.counts.of_before, "job")
    return (
        f"{needed} With only {few} before, only a large change will show." if compared.few_before else needed
    )


@dataclass(frozen=True, slots=True)
class Measured:
    """One measure of a change as printed."""

    title: str
    sides: tuple[Side, Side]
    difference: str
    said: str
    is_aim: bool


def measures(change: Change) -> list[Measured]:
    """Return the measures of a change: whether the step is done first, then what came back."""
    by_step = change.aim.measure == ProtocolAim.Measure.STEP_DONE
    found = []
    if change.step is not None:
        found.append(_measured(f"Done: {change.step_name}", change.step, by_step))
    found.append(_measured("Came back, jobs whose window has run", change.back, not by_step))
    return found


def _measured(title: str, compared: Compared, is_aim: bool) -> Measured:
    return Measured(title, sides_of(compared), points(compared.difference), said(compared), is_aim)


@dataclass(frozen=True, slots=True)
class Proposed:
    """One proposal as printed."""

    title: str
    symptom: str
    why: str
    saves: str
    url: str
    act: str


def proposed(found: Proposals) -> tuple[list[Proposed], list[Proposed]]:
    """Return the proposals to take away and to add, each with the way to the form; a few queries for all."""
    every = [*found.drop, *found.add, *found.ask]
    kinds, symptoms = test_kinds(one.code for one in every), symptom_names()
    protocols = {
        protocol.symptom: protocol
        for protocol in Protocol.objects.filter(is_current=True, symptom__in={one.symptom for one in every})
    }
    drop = [_drop(one, kinds, symptoms, protocols) for one in found.drop if one.symptom in protocols]
    add = [_ask(one, kinds, symptoms, protocols) for one in found.ask if one.symptom in protocols]
    add += [_add(one, kinds, symptoms, protocols) for one in found.add if one.symptom in protocols]
    return drop, add


def _drop(
    one: ToDrop, kinds: Mapping[str, TestKind], symptoms: Mapping[str, str], protocols: Any
) -> Proposed:
    name, backs = plain_name(one.code, kinds), one.backs
    why = (
        f"Done {count_text(one.judged, 'time')} in three years, always {one.always}, and no cause or suspect "
        f"cites it. Up to about {percent_text(one.still_up_to, 0)} in 100 could still differ. Came back: "
        f"{backs.back_done} of {backs.ripe_done} that did it, {backs.back_skipped} of {backs.ripe_skipped} "
        "that skipped it."
    )
    reason = f"{name}: {one.judged} times always {one.always}, never cited"
    return Proposed(
        name,
        symptoms.get(one.symptom, words(one.symptom)),
        why,
        _minutes(one.code, kinds, "saves"),
        _form(protocols[one.symptom], drop=one.code, reason=reason),
        "Take it away",
    )


def _add(one: ToAdd, kinds: Mapping[str, TestKind], symptoms: Mapping[str, str], protocols: Any) -> Proposed:
    name = plain_name(one.code, kinds)
    why = f"It proved the cause in {one.jobs} of {one.of_jobs} jobs in three years, without being asked for."
    reason = f"{name} proved the cause in {one.jobs} of {one.of_jobs} jobs"
    return Proposed(
        name,
        symptoms.get(one.symptom, words(one.symptom)),
        why,
        _minutes(one.code, kinds, "takes"),
        _form(protocols[one.symptom], add=one.code, reason=reason),
        "Add it",
    )


def _ask(one: ToAsk, kinds: Mapping[str, TestKind], symptoms: Mapping[str, str], protocols: Any) -> Proposed:
    name, step = plain_name(one.code, kinds), one.step
    why = (
        f"Jobs that skipped it came back more often: {step.skipped.count} of {step.skipped.of}, of those "
        f"that did it {step.done.count} of {step.done.of}; {points(step.extra)}, like against like "
        f"(q {step.q:.2f}). An association: hard or hurried jobs may be the ones that skip it."
    )
    reason = f"{name}: {step.skipped.count} of {step.skipped.of} came back without it"
    brought = {"critical" if one.is_there else "add": one.code, "reason": reason}
    return Proposed(
        name,
        symptoms.get(one.symptom, words(one.symptom)),
        why,
        _minutes(one.code, kinds, "takes"),
        _form(protocols[one.symptom], **brought),
        "Make it critical" if one.is_there else "Add it",
    )


def _minutes(code: str, kinds: Mapping[str, TestKind], verb: str) -> str:
    return f"{verb} about {kinds[code].minutes} min a job" if code in kinds else ""


def _form(protocol: Protocol, **brought: str) -> str:
    return f"{reverse('protocol-edit', args=[protocol.pk])}?{urlencode(brought)}"


def open_first(changes: Iterable[Change]) -> list[Change]:
    """Return the changes: those to look at first, then the other open ones, then the decided ones."""
    return sorted(changes, key=lambda one: (not one.is_due, not one.is_open, -one.aim.starts_on.toordinal()))
