"""What a review makes of a provisional verdict."""

from __future__ import annotations

from typing import Literal

ReviewState = Literal["unreviewed", "in_review", "confirmed", "excluded", "unrelated", "undetermined"]


def counts_after_review(verdict: str, state: str, *, upper: bool) -> bool:
    """Say whether a counting pair is a comeback once its review is heard.

    Parameters
    ----------
    verdict : str
        The provisional verdict of the pair.
    state : ReviewState
        A pair that nobody reviewed, or that is still in review, stands by its verdict.
    upper : bool
        Whether one that cannot be told counts.

    References
    ----------
    .. [1] practice.md section 9, review states.
    """
    if state == "undetermined":
        return upper
    if state in ("unreviewed", "in_review"):
        return verdict == "comeback"
    return state == "confirmed"
