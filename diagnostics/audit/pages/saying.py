"""How sure a counted share is, in the sentences the owner reads (statistics.md section 5). No Django."""

from __future__ import annotations

from typing import Literal

from diagnostics.statistics.proportions import Proportion
from shared.wording import count_text, interval_text, percent_text, whole_text

FEWEST_FOR_RATE = 10  # statistics.md section 3.1; a shop may ask for more before a rate is shown.
State = Literal["nothing", "too_few", "few", "none_back", "rate"]

ONLY_HERE = "We only see vehicles that return to us."
NO_DEPARTURES = "Cars that left for good or went elsewhere are not visible."


def state_of(share: Proportion | None, fewest: int) -> State:
    """Return what may be said of a share.

    Parameters
    ----------
    share : Proportion or None
        None of no job.
    fewest : int
        The shop's fewest jobs to compare; below it only the count is said.
    """
    if share is None or share.of == 0:
        return "nothing"
    if share.of < FEWEST_FOR_RATE:
        return "too_few"
    if share.of < fewest:
        return "few"
    return "rate" if share.count else "none_back"


def sentence(share: Proportion | None, fewest: int) -> str:
    """Return what a share says, with its uncertainty, as one or two sentences."""
    state = state_of(share, fewest)
    if share is None or state == "nothing":
        return "No finished job to count yet."
    if state == "too_few":
        return f"Too few finished jobs for a rate: {share.count} of {share.of} came back."
    if state == "few":
        return (
            f"Too few to compare: {share.count} of {share.of} came back. "
            f"A rate is shown from {fewest} finished jobs on."
        )
    if state == "none_back":
        most = 100 * (1 - 0.05 ** (1 / share.of))
        return (
            f"None of {whole_text(share.of)} came back so far. "
            f"Up to about {most:.0f} in 100 would still fit this."
            if most >= 0.95
            else f"None of {whole_text(share.of)} came back so far. Up to about {most * 10:.0f} in 1,000 would "
            "still fit this."
        )
    return (
        f"That is {percent_text(share.share)} %; the true rate is likely between "
        f"{interval_text(share.low, share.high)} %.".replace(" to ", " and ")
    )


def young_sentence(young: int, jobs: int, window_days: int) -> str:
    """Return what is said of jobs whose window has not run; empty of none."""
    if not young:
        return ""
    was = "was" if young == 1 else "were"
    it = "it is" if young == 1 else "they are"
    it_has = "it has" if young == 1 else "they have"
    return (
        f"{whole_text(young)} of {count_text(jobs, 'job')} {was} handed back too recently for its window of "
        f"{window_days} days to have run; {it} counted only for the days {it_has} had, in the curve."
    )
