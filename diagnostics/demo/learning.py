"""Two protocols that the demo shop changed with an aim, and the calls it made: its own, and not exchanged."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import cycle
from typing import Any

from diagnostics.calls.acts import record_call
from diagnostics.calls.due import calls_due
from diagnostics.demo.people import ADVISOR, OWNER
from diagnostics.learning.acts import change_with_aim, decide
from diagnostics.learning.spells import spell_before
from diagnostics.models import FollowUp, Protocol, ProtocolAim
from diagnostics.protocols import steps_of
from shop.models import RepairOrder, StaffMember

CALLED_AFTER_DAYS = 12
"""Calls that were due longer ago than this are made, all but the last one before."""
LEFT_DUE = 3


@dataclass(frozen=True, slots=True)
class Changed:
    """One protocol of which a step was put first and made critical, so many days ago."""

    symptom: str
    step: str
    days_ago: int
    days_to_look: int
    text: str
    reason: str
    measure: str
    shares: tuple[float, float]
    kept_after_days: int | None = None
    kept_why: str = ""


CHANGES = (
    Changed(
        "tyre_wear_uneven",
        "tread_depth",
        days_ago=420,
        days_to_look=360,
        text="The tread is read across before anything is set, so that worn bushes are seen first.",
        reason="Two sets of tyres wore again because nobody had read the old ones.",
        measure="comebacks",
        shares=(0.15, 0.08),
    ),
    Changed(
        "window_stuck",
        "window_motor_current",
        days_ago=300,
        days_to_look=240,
        text="The motor current is read before a regulator is sold.",
        reason="A regulator was replaced where a guide was dry.",
        measure="step_done",
        shares=(0.7, 0.95),
        kept_after_days=250,
        kept_why="It takes ten minutes, and it is done in every job since. Whether fewer come back cannot be "
        "told from so few jobs; it stays because it is cheap.",
    ),
)

ANSWERS = (
    ("gone", "Runs as it should. We drove to the coast with it."),
    ("no_answer", ""),
    ("gone", "Nothing since."),
    ("still_there", "Once, on the hill, with a full load."),
    ("gone", "Quiet now, thank you for asking."),
    ("elsewhere", "The garage by the bridge changed a relay."),
    ("gone", ""),
    ("no_answer", ""),
    ("gone", "Better than it was."),
    ("left", "Sold it to my nephew in the north."),
)
ANSWERS_OF_DECLINED = (
    ("done", "Had it done while on holiday."),
    ("still_declined", "Not before payday. I know what you told me."),
    ("no_answer", ""),
)


def put_on_record(*, today: date, at: datetime) -> None:
    """Put both changes and the calls on record, by the ordinary acts."""
    for one in CHANGES:
        _change(one, today, at)
    _call(today, at)


def _change(one: Changed, today: date, at: datetime) -> None:
    owner = StaffMember.objects.get(signs_as=OWNER)
    made_at, starts_on = at - timedelta(days=one.days_ago), today - timedelta(days=one.days_ago)
    current = Protocol.objects.get(symptom=one.symptom, is_current=True)
    steps = [(code, phase, critical or code == one.step) for code, phase, critical in steps_of(current)]
    aim = ProtocolAim(
        text=one.text,
        measure=one.measure,
        step_code=one.step,
        share_from=one.shares[0],
        share_to=one.shares[1],
        starts_on=starts_on,
        by_on=starts_on + timedelta(days=one.days_to_look),
        after_bad_spell=spell_before(current.system, current.symptom, starts_on) is not None,
    )
    change_with_aim(
        system=current.system,
        symptom=current.symptom,
        steps=sorted(steps, key=lambda step: step[0] != one.step),
        reason=one.reason,
        aim=aim,
        by=owner,
        at=made_at,
    )
    if one.kept_after_days is not None:
        on = starts_on + timedelta(days=one.kept_after_days)
        decide(aim, decision="kept", why=one.kept_why, on=on, by=owner, at=at)


def _call(today: date, at: datetime) -> None:
    """Make the calls that were due some time ago, all but the last few."""
    advisor = StaffMember.objects.get(signs_as=ADVISOR)
    due = list(calls_due(today - timedelta(days=CALLED_AFTER_DAYS)))
    orders = RepairOrder.objects.select_related("vehicle", "customer").in_bulk({row["order"] for row in due})
    after_repair, after_declining = cycle(ANSWERS), cycle(ANSWERS_OF_DECLINED)
    for row in due[: len(due) - LEFT_DUE]:
        answers = after_declining if row["about"] == FollowUp.Kind.DECLINED else after_repair
        _answer(orders[row["order"]], row, *next(answers), today=today, by=advisor, at=at)


def _answer(
    order: RepairOrder, row: dict, outcome: str, said: str, *, today: date, by: Any, at: datetime
) -> None:
    called_on = min(row["due"] + timedelta(days=2), today - timedelta(days=1))
    record_call(
        order,
        kind=row["about"],
        subject=row["subject"],
        due_on=row["due"],
        outcome=outcome,
        called_on=called_on,
        said=said,
        again_on=today - timedelta(days=1) if outcome == FollowUp.Outcome.NO_ANSWER else None,
        by=by,
        at=at,
    )
