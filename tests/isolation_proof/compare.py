"""Expected minutes of each policy divided by the exact optimum, over the generated problems."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from statistics import fmean

from tests.isolation_proof import answers
from tests.isolation_proof.families import document
from tests.isolation_proof.model import Document, read
from tests.isolation_proof.policies import PLAIN, Policy, expected_minutes, start

SAME = 1e-6


@dataclass(frozen=True)
class Cost:
    """Expected minutes of a way of working on one problem, and the test it starts with (None: it stops)."""

    minutes: float
    first: str | None


@dataclass(frozen=True)
class Ratio:
    """One way of working on one problem: minutes over the optimum; whether its first move is a best one."""

    key: answers.Key
    ratio: float
    starts_well: bool


Judge = Callable[[Document], Cost]


def plain(name: str) -> Judge:
    """Judge a plain policy of section 4."""

    def judge(problem: Document) -> Cost:
        model, policy = read(problem), PLAIN[name]()
        return Cost(expected_minutes(model, policy), _first(model, policy))

    return judge


def _first(model, policy: Policy) -> str | None:
    place = policy(model, start(model))
    return None if place is None else model.tests[place].id


def ratio(key: answers.Key, cost: Cost) -> Ratio:
    best = answers.kept()[key]
    of_first = best["q"][cost.first] if cost.first else cost.minutes
    return Ratio(key, cost.minutes / best["value"], of_first <= best["value"] + SAME)


def ratios(judges: Mapping[str, Judge], keys: Iterable[answers.Key]) -> dict[str, list[Ratio]]:
    keys = list(keys)
    return {name: [ratio(key, judge(document(*key))) for key in keys] for name, judge in judges.items()}


def percentile(values: Sequence[float], share: float) -> float:
    return sorted(values)[min(len(values) - 1, int(share * len(values)))]


def mean(found: Iterable[Ratio]) -> float:
    return fmean(one.ratio for one in found)


def worst(found: Iterable[Ratio]) -> Ratio:
    return max(found, key=lambda one: one.ratio)


HEAD = ("policy", "mean", "95th percentile", "worst", "first test best", "worst problem")


def table(found: Mapping[str, Sequence[Ratio]]) -> str:
    """Mean, 95th percentile and worst ratio of each policy, and how often its first test is a best one."""
    rows = [HEAD, *[_row(name, of_policy) for name, of_policy in found.items()]]
    widths = [max(len(row[column]) for row in rows) for column in range(len(HEAD))]
    return "\n".join(
        "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows
    )


def _row(name: str, found: Sequence[Ratio]) -> tuple[str, ...]:
    least = worst(found)
    return (
        name,
        f"{mean(found):.4f}",
        f"{percentile([one.ratio for one in found], 0.95):.3f}",
        f"{least.ratio:.3f}",
        f"{sum(one.starts_well for one in found)} of {len(found)}",
        f"{least.key[0]} {least.key[1]}",
    )
