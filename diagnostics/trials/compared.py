"""Two conditions compared: the reversal test, and the vehicle with and without test equipment connected.

References
----------
.. [1] practice.md section 5, reversal A-B-A after single-case design; section 4, R15.
.. [2] R. A. Fisher, The Design of Experiments, 1935. From memory.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from diagnostics.snapshot import Attempt, Phase
from diagnostics.statistics.fisher import fisher


@dataclass(frozen=True, slots=True)
class Compared:
    """How often it showed under one condition and under another, and what chance alone makes of that."""

    first: str
    first_shown: int
    first_tries: int
    second: str
    second_shown: int
    second_tries: int
    chance: float

    @property
    def table(self) -> tuple[tuple[int, int], tuple[int, int]]:
        """Shown and not shown, a row for each condition."""
        return (
            (self.first_shown, self.first_tries - self.first_shown),
            (self.second_shown, self.second_tries - self.second_shown),
        )


def reversal(phases: Sequence[Phase]) -> Compared | None:
    """Return a reversal as one table; none unless it names two conditions.

    The condition under which the symptom was present first stands first; the chance is one-sided: at least so
    clear a difference that way round. Every try of a phase counts as its phase says. The order of the phases
    adds to the proof and is not in this number, so the chance is on the safe side for one that alternates.
    """
    tried = [phase for phase in phases if phase.n >= 1 and phase.condition.strip()]
    names = list(dict.fromkeys(phase.condition.strip() for phase in tried))
    if len(names) != 2:
        return None
    names.sort(key=lambda name: not any(p.present for p in tried if p.condition.strip() == name))
    counts = [_shown_in(p for p in tried if p.condition.strip() == name) for name in names]
    return _compared(names[0], counts[0], names[1], counts[1], one_sided=True)


def with_equipment(attempts: Iterable[Attempt]) -> Compared | None:
    """Return the attempts with and without test equipment; none unless both were counted.

    Two-sided: equipment can hide a fault (it warms, loads or wakes a circuit) as well as bring it about.
    """
    known = [a for a in attempts if a.k is not None and a.n is not None and 0 <= a.k <= a.n]
    groups = {
        connected: (
            sum(a.k or 0 for a in known if a.equipment_connected is connected),
            sum(a.n or 0 for a in known if a.equipment_connected is connected),
        )
        for connected in (True, False)
    }
    if not (groups[True][1] and groups[False][1]):
        return None
    words = "with test equipment", "without"
    return _compared(words[0], groups[True], words[1], groups[False], one_sided=False)


def _shown_in(phases: Iterable[Phase]) -> tuple[int, int]:
    listed = list(phases)
    return sum(phase.n for phase in listed if phase.present), sum(phase.n for phase in listed)


def _compared(
    first: str, one: tuple[int, int], second: str, other: tuple[int, int], *, one_sided: bool
) -> Compared:
    table = (one[0], one[1] - one[0]), (other[0], other[1] - other[0])
    return Compared(first, *one, second, *other, fisher(table, "greater" if one_sided else "two-sided"))
