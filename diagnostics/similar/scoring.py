"""How alike two jobs are: points for what they share, and the reasons in words. Pure.

The points are the shop's policy, our own choice with no source; `hits.py` measures how often they lead to the
cause. They order a list and are no probability. An earlier job is never evidence for this one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

SAME_SYMPTOM = 30
SAME_SYSTEM = 15
WORDS = 25
SAME_MODEL = 15
SAME_MAKE = 5
SAME_ENGINE = 5
NEAR_YEAR = 3
SAME_PATTERN = 4
CONDITIONS = 10
SAME_READING = 12
MOST_READINGS = 2  # Two shared failing readings count, more add nothing.
YEARS_APART = 2


@dataclass(frozen=True, slots=True)
class Likeness:
    """What of one job is compared.

    `conditions` are the telling words of when it happens; `failing` the readings that failed, each as
    (test code, measuring point).
    """

    system: str = ""
    symptom: str = ""
    pattern: str = ""
    make: str = ""
    model: str = ""
    engine: str = ""
    year: int | None = None
    conditions: frozenset[str] = frozenset()
    failing: frozenset[tuple[str, str]] = frozenset()


@dataclass(frozen=True, slots=True)
class Score:
    """Points from 0 to 100 or a little above, and why, the weightiest first."""

    points: float
    reasons: tuple[str, ...] = field(default=())


def score(this: Likeness, other: Likeness, *, fit: float = 0.0) -> Score:
    """Return how alike two jobs are.

    Parameters
    ----------
    this, other : Likeness
        Empty texts are unknown and equal nothing.
    fit : float
        How well the other job's words fit this complaint, 0 to 1.
    """
    found = [
        *_complaint(this, other),
        *([(WORDS * fit, "alike in words")] if fit else []),
        *_readings(this, other),
        *_vehicle(this, other),
        *_circumstances(this, other),
    ]
    found.sort(key=lambda one: -one[0])
    return Score(sum(points for points, _ in found), tuple(reason for _, reason in found))


def _complaint(this: Likeness, other: Likeness) -> list[tuple[float, str]]:
    if this.symptom and this.symptom == other.symptom:
        return [(SAME_SYMPTOM, "the same symptom")]
    if this.system and this.system == other.system:
        return [(SAME_SYSTEM, "the same system")]
    return []


def _vehicle(this: Likeness, other: Likeness) -> list[tuple[float, str]]:
    if not this.make or this.make.lower() != other.make.lower():
        return []
    if not this.model or this.model.lower() != other.model.lower():
        return [(SAME_MAKE, "the same make")]
    points, words = float(SAME_MODEL), "the same model"
    if this.engine and this.engine.lower() == other.engine.lower():
        points, words = points + SAME_ENGINE, f"{words} and engine"
    if this.year and other.year and abs(this.year - other.year) <= YEARS_APART:
        points += NEAR_YEAR
    return [(points, words)]


def _circumstances(this: Likeness, other: Likeness) -> list[tuple[float, str]]:
    found: list[tuple[float, str]] = []
    if this.pattern and this.pattern == other.pattern:
        found.append(
            (SAME_PATTERN, "comes and goes too" if this.pattern == "intermittent" else "always there too")
        )
    if shared := this.conditions & other.conditions:
        share = len(shared) / len(this.conditions)
        found.append((CONDITIONS * share, f"when: {', '.join(sorted(shared))}"))
    return found


def _readings(this: Likeness, other: Likeness) -> list[tuple[float, str]]:
    shared = sorted(this.failing & other.failing)
    if not shared:
        return []
    points = SAME_READING * min(len(shared), MOST_READINGS)
    return [(points, "the same reading failed" if len(shared) == 1 else "the same readings failed")]


def distinct(components: Sequence[str]) -> tuple[str, ...]:
    """Return the components in their order, each once, whatever its case and spaces."""
    seen: dict[str, str] = {}
    for component in components:
        seen.setdefault(plain(component), component)
    return tuple(seen.values())


def plain(component: str) -> str:
    """Return a component so that two ways of writing it are one: small letters, single spaces."""
    return " ".join(component.lower().split())
