"""What trials show, in sentences that claim no more than they do.

Never "fixed with 95 % probability": the confidence is not the chance that it is fixed (statistics.md
section 3.10).
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from diagnostics.trials.compared import Compared
from diagnostics.trials.standing import Standing, TimeStanding
from shared.wording import count_text

CLEAR = 0.05  # Chance below which a difference is called one; common practice.


def in_100(share: float) -> str:
    """Return a share as "7 times in 100", rounded as people read it."""
    if share >= 0.995:
        return "nearly every time"
    if share < 0.005:
        return "less than once in 100 times"
    times = round(share * 100)
    return "once in 100 times" if times == 1 else f"{times} times in 100"


def up_to_100(share: float) -> int:
    """Return a bound in tries of 100, rounded up: what is not excluded must not look smaller."""
    # Rounded to a tenth of a try first, so that 95.0 of 100 is not called 96.
    return math.ceil(round(share * 100, 1))


def sentences(standing: Standing) -> list[str]:
    """Return what the trials of a complaint show, the weightiest first."""
    if standing.recurrences:
        return [
            f"It came back {count_text(standing.recurrences, 'time')}: it is not fixed. "
            "Counting starts again after the next repair."
        ]
    return [*_shown_by(standing), *_needed(standing)]


def _shown_by(standing: Standing) -> Iterator[str]:
    if not standing.clean:
        return
    clean = count_text(standing.clean, "clean try", "clean tries")
    if standing.if_nothing_fixed is not None:
        yield (
            f"{clean} so far. If nothing had been fixed, a run this clean would still be seen "
            f"{_about(standing.if_nothing_fixed)}."
        )
    yield (
        f"Up to {up_to_100(standing.upper)} in 100 tries could still show it "
        f"({standing.confidence * 100:g} % confidence)."
    )


def _needed(standing: Standing) -> Iterator[str]:
    yield f"The rule asks for {_tries(standing.by_rule)}: {_left(standing.remaining)}."
    if not standing.shown:
        told = "was not tried" if not standing.tries else f"never showed in {_tries(standing.tries)}"
        yield (
            f"It {told} before the repair, so no number of clean tries alone can show that it is gone. "
            "The cause found and the reading taken again must carry the proof."
        )
        return
    if standing.rate and standing.most and standing.fewest != standing.most:
        low, high = (round(end * 100) for end in standing.rate)
        yield (
            f"It showed {standing.shown} in {_tries(standing.tries)}, which leaves the true rate anywhere "
            f"from {low} to {high} in 100; the rule would ask for {standing.fewest} to {standing.most}."
        )
    if standing.predictive is None:
        yield "With that counted in, no number of tries within reach is enough."
    else:
        left = _left(standing.remaining_predictive or 0)
        yield f"With that counted in, {_tries(standing.predictive)}: {left}."


def time_sentences(standing: TimeStanding, unit: str) -> list[str]:
    """Return what clean time or distance shows; `unit` as in "km" or "days"."""
    return list(_time(standing, unit))


def _time(standing: TimeStanding, unit: str) -> Iterator[str]:
    if standing.clean_for and standing.if_nothing_fixed is not None:
        yield (
            f"{_amount(standing.clean_for)} {unit} without a fault. If nothing had been fixed, this would "
            f"still be seen {_about(standing.if_nothing_fixed)}."
        )
    if standing.clean_for:
        yield (
            f"One fault in every {_amount(standing.between_at_least)} {unit} could still be there "
            f"({(1 - standing.risk) * 100:g} % confidence)."
        )
    if standing.needed is None or standing.needed_at_face_value is None:
        yield "No fault was counted before the repair, so no clean time alone can show that it is gone."
        return
    yield (
        f"{standing.faults} in {_amount(standing.over)} {unit} asks for "
        f"{_amount(standing.needed_at_face_value)} {unit} taken at its word; as uncertain as that count is, "
        f"for {_amount(standing.needed)} {unit}."
    )
    if standing.faults == 1:
        yield "One fault alone cannot be proved gone by waiting: explain it by the cause and the readings."


def compared(table: Compared) -> str:
    """Return two conditions and what chance makes of them, in a sentence."""
    told = (
        f"{table.first[:1].upper()}{table.first[1:]}: {table.first_shown} of {table.first_tries}; "
        f"{table.second}: {table.second_shown} of {table.second_tries}. "
        f"By chance alone a difference like this is seen {_about(table.chance)}"
    )
    return f"{told}." if table.chance <= CLEAR else f"{told}: too few tries to tell."


def equipment(table: Compared) -> str:
    """Return the comparison with and without equipment; where it is clear, what follows for the trials."""
    told = compared(table)
    if table.chance > CLEAR:
        return told
    with_share = table.first_shown / table.first_tries
    hides = with_share < table.second_shown / table.second_tries
    verb = "hide it: try without it" if hides else "bring it about: look at what it connects"
    return f"{told} Connected equipment seems to {verb}."


def _about(share: float) -> str:
    said = in_100(share)
    return f"about {said}" if said[0].isdigit() else said


def _left(remaining: int) -> str:
    return f"{remaining} more to do" if remaining else "done"


def _amount(value: float) -> str:
    return f"{value:,.0f}" if value >= 100 else f"{value:.3g}"


def _tries(number: int) -> str:
    return count_text(number, "try", "tries")
