"""The changes of protocols that have an aim, and what the jobs since say of each."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from diagnostics.job.on_order import plain_name, test_kinds
from diagnostics.learning.compared import Compared, Verdict, after_a_bad_spell, compare
from diagnostics.learning.counting import NOTHING, Asked, Counted, asked, count
from diagnostics.models import ProtocolAim
from diagnostics.review.names import symptom_names, system_names, words

Measure = ProtocolAim.Measure
VERDICT_WORDS: dict[Verdict, str] = {
    "helped": "helped",
    "worse": "made it worse",
    "no_difference": "no difference seen",
    "cannot_tell": "cannot tell yet",
}


@dataclass(frozen=True, slots=True)
class Change:
    """One changed protocol, and what the jobs since say.

    `step` and `back` are both measures, None for the step where the aim names none; the verdict is that of
    the measure of the aim. `held_over` jobs came after the start with the old steps: on neither side.
    """

    aim: ProtocolAim
    asked: Asked
    system_name: str
    symptom_name: str
    step_name: str
    step: Compared | None
    back: Compared
    held_over: int
    is_due: bool

    @property
    def pk(self) -> int:
        """The key of the aim; its page is `learning-change`."""
        return self.aim.pk

    @property
    def protocol_pk(self) -> int:
        """The key of the version of the protocol that was put in force."""
        return self.aim.protocol_id

    @property
    def measured(self) -> Compared:
        """The measure of the aim."""
        is_step = self.aim.measure == Measure.STEP_DONE and self.step is not None
        return self.step if is_step and self.step else self.back

    @property
    def verdict(self) -> Verdict:
        """helped, worse or cannot_tell."""
        return self.measured.verdict

    @property
    def jobs_before(self) -> int:
        """Jobs before the change that the measure may count."""
        return self.measured.counts.of_before

    @property
    def jobs_so_far(self) -> int:
        """Jobs after the change that the measure may count."""
        return self.measured.counts.of_after

    @property
    def jobs_needed(self) -> int | None:
        """About how many more jobs it takes; None where that is not known, 0 where there are enough."""
        return self.measured.more_jobs

    @property
    def by_on(self) -> date:
        """The day on which it was to be looked at."""
        return self.aim.by_on

    @property
    def is_open(self) -> bool:
        """Whether nobody has decided yet to keep or to withdraw it."""
        return not self.aim.decision

    @property
    def verdict_words(self) -> str:
        """The verdict in words: "helped", "made it worse" or "cannot tell yet, about 40 more jobs"."""
        said = VERDICT_WORDS[self.verdict]
        return f"{said}, about {self.jobs_needed} more jobs" if self.jobs_needed else said


def changes(as_of: date) -> tuple[Change, ...]:
    """Return every change with an aim, the newest first. The number of queries does not grow with them."""
    return _changes(ProtocolAim.objects.filter(starts_on__lte=as_of), as_of)


def change(aim: ProtocolAim, as_of: date) -> Change:
    """Return one change."""
    return _changes([aim], as_of)[0]


def _changes(aims: Iterable[ProtocolAim], as_of: date) -> tuple[Change, ...]:
    found = asked(
        ProtocolAim.objects.filter(pk__in=[aim.pk for aim in aims]).select_related("protocol"), as_of
    )
    counts = count(found)
    systems, symptoms = system_names(), symptom_names()
    kinds = test_kinds(one.aim.step_code for one in found)
    return tuple(
        _change(
            one,
            counts.get(one.aim.pk, NOTHING),
            system_name=systems.get(one.aim.protocol.system, words(one.aim.protocol.system)),
            symptom_name=symptoms.get(one.aim.protocol.symptom, words(one.aim.protocol.symptom)),
            step_name=plain_name(one.aim.step_code, kinds) if one.aim.step_code else "",
            as_of=as_of,
        )
        for one in found
    )


def _change(
    one: Asked, counted: Counted, *, system_name: str, symptom_name: str, step_name: str, as_of: date
) -> Change:
    aim, expected = one.aim, (one.aim.share_from, one.aim.share_to)
    by_step, no_figures = aim.measure == Measure.STEP_DONE, (None, None)
    step = compare(counted.step, more_is_better=True, expected=expected if by_step else no_figures)
    back = compare(counted.back, more_is_better=False, expected=no_figures if by_step else expected)
    if aim.after_bad_spell:
        back = after_a_bad_spell(back)
    return Change(
        aim=aim,
        asked=one,
        system_name=system_name,
        symptom_name=symptom_name,
        step_name=step_name,
        step=step if aim.step_code else None,
        back=back,
        held_over=counted.held_over,
        is_due=not aim.decision and aim.by_on <= as_of,
    )
