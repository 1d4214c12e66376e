"""Expected minutes of each policy divided by the exact optimum, over the generated problems."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from statistics import fmean

from tests.isolation_proof import answers
from tests.isolation_proof.families import document
from tests.isolation_proof.model import Document, read
from tests.isolation_proof.policies import PLAIN, Policy, expected_minutes, start

SAME = 1e-6


@dataclass(frozen=True)
class Ratio:
    """One policy on one problem: minutes over the optimum, and whether its first move is a best one."""

    key: answers.Key
    ratio: float
    starts_well: bool


Maker = Callable[[Document], Policy]


def everyone() -> dict[str, Maker]:
    """Every plain policy."""
    return {name: lambda document, make=make: make() for name, make in PLAIN.items()}


def ratio(key: answers.Key, make: Maker) -> Ratio:
    problem = document(*key)
    model, policy, best = read(problem), make(problem), answers.kept()[key]
    first = policy(model, start(model))
    if first is None:
        starts_well = best["value"] >= min(best["q"].values()) - SAME
    else:
        starts_well = best["q"].get(model.tests[first].id, float("inf")) <= best["value"] + SAME
    return Ratio(key, expected_minutes(model, policy) / best["value"], starts_well)


def ratios(makers: Mapping[str, Maker], *, seeds: int) -> dict[str, list[Ratio]]:
    keys = [key for key in answers.kept() if key[1] <= seeds]
    return {name: [ratio(key, make) for key in keys] for name, make in makers.items()}


def percentile(values: Sequence[float], share: float) -> float:
    return sorted(values)[min(len(values) - 1, int(share * len(values)))]


def table(found: Mapping[str, Sequence[Ratio]]) -> str:
    """Mean, 95th percentile and worst ratio of each policy, and how often its first test is a best one."""
    count = len(next(iter(found.values())))
    rows = [("policy", "mean", "95th percentile", "worst", "first test best", "worst problem")]
    for name, of_policy in found.items():
        values = [one.ratio for one in of_policy]
        worst = max(of_policy, key=lambda one: one.ratio)
        rows.append(
            (
                name,
                f"{fmean(values):.4f}",
                f"{percentile(values, 0.95):.3f}",
                f"{worst.ratio:.3f}",
                f"{sum(one.starts_well for one in of_policy)} of {count}",
                f"{worst.key[0]} {worst.key[1]}",
            )
        )
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    return "\n".join(
        "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows
    )
