"""How sure a counted share is, in the sentences the owner reads (statistics.md section 5). No Django."""

from __future__ import annotations

from typing import Literal

from diagnostics.audit.policy import FEWEST_FOR_RATE
from diagnostics.statistics.proportions import Proportion
from shared.wording import count_text, percent_text, whole_text

State = Literal["nothing", "too_few", "few", "none_back", "rate"]

ONLY_HERE = "We only see vehicles that return to us."
NO_DEPARTURES = "Cars that left for good or went elsewhere are not visible."
NARROW = (
    "More than a fifth of these jobs are of vehicles with three jobs or more. They are not independent, so "
    "the interval is too narrow."
)


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
        return (
            f"None of {whole_text(share.of)} came back so far. "
            f"Up to about {_still_fits(share.of)} would still fit this."
        )
    return (
        f"That is {percent_text(share.share)} %; the true rate is likely between "
        f"{percent_text(share.low)} and {percent_text(share.high)}."
    )


def young_sentence(young: int, jobs: int, window_days: int) -> str:
    """Return what is said of jobs whose window has not run; empty of none."""
    if not young:
        return ""
    if young == 1:
        said = "was handed back too recently for its window", "it is counted only for the days it has had"
    else:
        said = (
            "were handed back too recently for their window",
            "they are counted only for the days they have had",
        )
    return (
        f"{whole_text(young)} of {count_text(jobs, 'job')} {said[0]} of {window_days} days to have run; "
        f"{said[1]}, in the curve."
    )


def departures_sentence(left: int, competing: float | None) -> str:
    """Return what is known of vehicles that left for good.

    Parameters
    ----------
    left : int
        Vehicles of these jobs that are known to have gone.
    competing : float or None
        The share back by the end of the window, where leaving competes with coming back; None: not known.
    """
    if not left:
        return NO_DEPARTURES
    vehicles = count_text(left, "vehicle")
    are = "is" if left == 1 else "are"
    said = f"{vehicles[:1].upper()}{vehicles[1:]} of these jobs {are} known to have gone"
    if competing is None:
        return f"{said}; others may have left unseen."
    back = f"counting those as gone, {percent_text(competing)} % came back by the end of the window"
    return f"{said}; {back}. Others may have left unseen."


def _still_fits(jobs: int) -> str:
    """The upper 95 % bound of none in so many: 1 - 0.05^(1/n), as so many in 100 or in 1,000."""
    most = 1 - 0.05 ** (1 / jobs)
    return f"{100 * most:.0f} in 100" if most >= 0.015 else f"{1000 * most:.0f} in 1,000"
