"""How far two people who code the same return apart agree. No name is read."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from diagnostics.models import ReturnReview
from diagnostics.review.codes import GROUPS
from diagnostics.statistics.agreement import Agreement, kappa

FEWEST = 10
"""Below this many returns coded twice only the counts are shown (policy)."""


@dataclass(frozen=True, slots=True)
class Question:
    """One thing that both chose: cause group, primary code or escape point."""

    key: str
    label: str
    agreement: Agreement


@dataclass(frozen=True, slots=True)
class Agreed:
    """Agreement on each question, and the table of cause groups: first coding down, second across.

    `cells[i][j]` counts returns of `groups[i]` by the first and `groups[j]` by the second coding.
    """

    n: int
    questions: tuple[Question, ...]
    groups: tuple[str, ...]
    cells: tuple[tuple[int, ...], ...]

    @property
    def too_few(self) -> bool:
        """Whether only counts may be shown."""
        return self.n < FEWEST


def agreement() -> Agreed:
    """Return how far first and second codings agree, of all returns that were coded twice. One query.

    The first coding is taken as it stood when the second was made: a change of it afterwards, with both in
    sight, says nothing of agreement.

    References
    ----------
    .. [1] J. Cohen, A coefficient of agreement for nominal scales, Educational and Psychological Measurement
       20 (1960), 37-46.
    """
    rows = ReturnReview.objects.filter(is_second=True).order_by("pk")
    pairs = [
        ((first["primary"], first["escape_point"]), (code, escape))
        for first, code, escape in rows.values_list("compared_with", "primary", "escape_point")
        if first
    ]
    return of_pairs(pairs)


def of_pairs(pairs: Sequence[tuple[tuple[str, str], tuple[str, str]]]) -> Agreed:
    """Return the agreement of pairs of (primary code, escape point), the first coding first."""
    of: dict[str, tuple[str, Callable[[tuple[str, str]], str]]] = {
        "group": ("Cause group", lambda coding: coding[0][:1]),
        "code": ("Primary code", lambda coding: coding[0]),
        "escape": ("Where it could have been caught", lambda coding: coding[1]),
    }
    questions = tuple(
        Question(key, label, kappa([(take(first), take(second)) for first, second in pairs]))
        for key, (label, take) in of.items()
        if pairs
    )
    counts = Counter((first[0][:1], second[0][:1]) for first, second in pairs)
    used = tuple(letter for letter in GROUPS if any(letter in cell for cell in counts))
    cells = tuple(tuple(counts[down, across] for across in used) for down in used)
    return Agreed(len(pairs), questions, used, cells)
