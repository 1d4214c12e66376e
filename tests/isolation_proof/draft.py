"""Builds one problem document piece by piece: zones, suspects, tests whose rows follow from who reads bad."""

import random
from collections.abc import Collection, Mapping, Sequence
from typing import Any

GOOD_BAD = ("good", "bad")
CATCH_ALL = "other"


class Draft:
    """A document in the making. Weights become priors; the catch-all is added last."""

    def __init__(self, family: str, seed: int) -> None:
        self.family, self.seed = family, seed
        self.rng = random.Random(f"{family}:{seed}")
        self.zones: list[dict[str, Any]] = []
        self.suspects: list[dict[str, Any]] = []
        self.tests: list[dict[str, Any]] = []

    def between(self, low: float, high: float, step: float = 0.5) -> float:
        """A round figure in a range, for minutes."""
        return round(round(self.rng.uniform(low, high) / step) * step, 2)

    def chance(self, share: float) -> bool:
        return self.rng.random() < share

    def uneven(self) -> float:
        """A prior weight: most alike, some several times as likely."""
        return self.rng.lognormvariate(0, 0.6)

    def zone(self, name: str, opens: tuple[float, float], *, inside: str = "", already: bool = False) -> str:
        minutes = self.between(*opens)
        zone = {"id": name, "open_minutes": minutes, "close_minutes": self.between(0, minutes * 0.8)}
        if inside:
            zone["inside"] = inside
        if already:
            zone["already_open"] = True
        self.zones.append(zone)
        return name

    def suspect(
        self, name: str, kind: str, *, weight: float = 0, group: str = "", activity: float = 1
    ) -> str:
        suspect = {"id": name, "kind": kind, "prior": weight or self.uneven()}
        if group:
            suspect["group"] = group
        if activity < 1:
            suspect["activity"] = activity
        self.suspects.append(suspect)
        return name

    def test(
        self,
        name: str,
        kind: str,
        minutes: float,
        rows: Mapping[str, Sequence[float]],
        default: Sequence[float],
        *,
        outcomes: Sequence[str] = GOOD_BAD,
        zones: Sequence[str] = (),
        after: Sequence[str] = (),
        max_uses: int = 1,
        provocation: float = 0,
    ) -> str:
        """A test by its rows; the quiet row is the default one, the reading of a sound circuit."""
        test: dict[str, Any] = {
            "id": name,
            "kind": kind,
            "minutes": minutes,
            "zones": list(zones),
            "outcomes": [{"id": outcome} for outcome in outcomes],
            "likelihood": {
                "default": list(default),
                "quiet": list(default),
                "by_candidate": {suspect: list(row) for suspect, row in rows.items()},
            },
        }
        if after:
            test["after"] = list(after)
        if max_uses > 1:
            test["max_uses"] = max_uses
        if provocation:
            test["provocation"] = provocation
        self.tests.append(test)
        return name

    def probe(
        self,
        name: str,
        kind: str,
        minutes: float,
        bad: Collection[str],
        *,
        miss: float = 0.0,
        false_alarm: float = 0.0,
        **more: Any,
    ) -> str:
        """A test that reads bad for these suspects, but for misses and false alarms."""
        rows = {suspect: (miss, round(1 - miss, 4)) for suspect in bad}
        return self.test(name, kind, minutes, rows, (round(1 - false_alarm, 4), false_alarm), **more)

    def document(self, wrong: tuple[float, float] = (90, 300)) -> dict[str, Any]:
        self.suspect(CATCH_ALL, "catch_all")
        rest = self.between(0.02, 0.05, 0.005)
        total = sum(suspect["prior"] for suspect in self.suspects[:-1])
        for suspect in self.suspects[:-1]:
            suspect["prior"] *= (1 - rest) / total
        self.suspects[-1]["prior"] = rest
        return {
            "format": "isolation-problem/1",
            "id": f"{self.family}-{self.seed}",
            "title": f"{self.family.replace('_', ' ')}, number {self.seed} (invented)",
            "provenance": {
                "generator": "seeded",
                "family": self.family,
                "seed": self.seed,
                "priors_from": "invented",
                "times_from": "invented",
            },
            "zones": self.zones,
            "candidates": self.suspects,
            "tests": self.tests,
            "stop": {"wrong_minutes": self.between(*wrong, 5)},
        }
