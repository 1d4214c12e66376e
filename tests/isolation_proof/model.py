"""A problem document as plain lists and bit masks, and one step of belief."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

Document = Mapping[str, Any]
Weights = tuple[float, ...]

NOTHING = 1e-12


@dataclass(frozen=True)
class Test:
    """One test: likelihoods by candidate, then outcome; the zones it needs as a mask, ancestors included."""

    id: str
    minutes: float
    zones: int
    after: tuple[int, ...]
    max_uses: int
    outcomes: tuple[str, ...]
    rows: tuple[tuple[float, ...], ...]
    is_perfect: bool

    # pytest takes a class of this name for a test otherwise.
    __test__ = False


@dataclass(frozen=True)
class Model:
    """Candidates 0..n-1 with priors and group numbers; zone prices by bit; tests; minutes of a wrong call."""

    candidates: tuple[str, ...]
    prior: Weights
    group: tuple[int, ...]
    zone_minutes: tuple[float, ...]
    open_zones: int
    tests: tuple[Test, ...]
    wrong: float


def read(document: Document) -> Model:
    """Return the document in the terms of the solver; a document that breaks the schema is not looked for."""
    zones = list(document.get("zones", ()))
    reach = _reach(zones)
    opened = 0
    for place, zone in enumerate(zones):
        if zone.get("already_open"):
            opened |= 1 << place
    candidates = document["candidates"]
    names = [candidate.get("group", "=" + candidate["id"]) for candidate in candidates]
    numbers = {name: number for number, name in enumerate(dict.fromkeys(names))}
    order = {test["id"]: place for place, test in enumerate(document["tests"])}
    return Model(
        candidates=tuple(candidate["id"] for candidate in candidates),
        prior=tuple(candidate["prior"] for candidate in candidates),
        group=tuple(numbers[name] for name in names),
        zone_minutes=tuple(zone["open_minutes"] + zone.get("close_minutes", 0) for zone in zones),
        open_zones=opened,
        tests=tuple(_test(test, candidates, reach, order) for test in document["tests"]),
        wrong=document["stop"]["wrong_minutes"],
    )


def _reach(zones: Sequence[Document]) -> dict[str, int]:
    """Which zones must be open for each one, itself included."""
    place = {zone["id"]: number for number, zone in enumerate(zones)}
    inside = {zone["id"]: zone.get("inside") for zone in zones}
    reach = {}
    for name in place:
        mask, at = 0, name
        while at:
            mask |= 1 << place[at]
            at = inside[at]
        reach[name] = mask
    return reach


def _test(test: Document, candidates: Sequence[Document], reach: Mapping[str, int], order: Mapping[str, int]):
    zones = 0
    for name in test.get("zones", ()):
        zones |= reach[name]
    rows = tuple(_row(test, candidate) for candidate in candidates)
    return Test(
        id=test["id"],
        minutes=test["minutes"],
        zones=zones,
        after=tuple(order[name] for name in test.get("after", ())),
        max_uses=test.get("max_uses", 1),
        outcomes=tuple(outcome["id"] for outcome in test["outcomes"]),
        rows=rows,
        is_perfect=all(chance in (0, 1) for row in rows for chance in row),
    )


def _row(test: Document, candidate: Document) -> tuple[float, ...]:
    """Section 2: the acting row and the quiet row, mixed by the activity that the test raises."""
    likelihood = test["likelihood"]
    acting = likelihood.get("by_candidate", {}).get(candidate["id"], likelihood.get("default"))
    activity = 1 - (1 - candidate.get("activity", 1)) * (1 - test.get("provocation", 0))
    if activity >= 1:
        return tuple(float(chance) for chance in acting)
    return tuple(
        activity * loud + (1 - activity) * quiet
        for loud, quiet in zip(acting, likelihood["quiet"], strict=True)
    )


def price(model: Model, test: Test, opened: int) -> float:
    """Minutes of a test now: hands-on, and each zone on the way that is still shut."""
    return test.minutes + zone_price(model, test.zones & ~opened)


def zone_price(model: Model, zones: int) -> float:
    total = 0.0
    place = 0
    while zones:
        if zones & 1:
            total += model.zone_minutes[place]
        zones >>= 1
        place += 1
    return total


def by_group(model: Model, weights: Sequence[float]) -> dict[int, float]:
    """The probability of each group of candidates that share a repair."""
    groups: dict[int, float] = {}
    for group, weight in zip(model.group, weights, strict=True):
        groups[group] = groups.get(group, 0.0) + weight
    return groups


def stop_price(model: Model, weights: Sequence[float]) -> float:
    """The price of a wrong call, times the chance that the likeliest group is not the one."""
    return model.wrong * max(0.0, 1 - max(by_group(model, weights).values()))


def split(test: Test, weights: Sequence[float]) -> Iterator[tuple[int, float, Weights]]:
    """Each outcome that can happen: its number, its probability, the belief after it."""
    for outcome in range(len(test.outcomes)):
        joint = [weight * row[outcome] for weight, row in zip(weights, test.rows, strict=True)]
        chance = sum(joint)
        if chance > NOTHING:
            yield outcome, chance, tuple(weight / chance for weight in joint)


def tells_something(test: Test, weights: Sequence[float]) -> bool:
    """Whether two candidates that are still possible have different rows."""
    first = None
    for weight, row in zip(weights, test.rows, strict=True):
        if weight > 0:
            if first is None:
                first = row
            elif row != first:
                return True
    return False
