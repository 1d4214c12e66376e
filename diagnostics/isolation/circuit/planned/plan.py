"""One test of the plan before it is written: what is done, what can be read, how that is heard."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal

from diagnostics.isolation.circuit.built import Options, Says
from diagnostics.isolation.circuit.physics import Defects, Network, Probe, reader
from diagnostics.isolation.circuit.places import Circuit

PlanKind = Literal["measure", "remove_bar", "unplug", "swap", "wiggle", "inspect", "read_out", "jumper"]
Row = tuple[float, ...]
Reader = Callable[[Defects], Row]

# Hands-on minutes once access is open, by what is done. Invented; the shop's own times replace them.
MINUTES = {
    "level": 2.0,
    "bar": 2.0,
    "back": 3.0,
    "leg": 2.0,
    "unplug": 3.0,
    "swap": 20.0,
    "look": 1.0,
    "fitted": 2.0,
    "acting": 2.0,
    "wiggle": 5.0,
    "call": 1.0,
    "pair": 5.0,
    "drop": 4.0,
    "supply": 3.0,
    "alone": 8.0,
    "bypass": 6.0,
    "fuse": 1.0,
    "pull": 2.0,
    "short": 5.0,
    "direct": 6.0,
}
LOOK_MISS, LOOK_ALARM = 0.1, 0.05  # As in the example document of the reference note; invented there.
DROP_ERROR = 0.03  # A drop over a fuse: meter steps and scatter of the fuse, some 15 %. Invented.
WIGGLE_CAUGHT, WIGGLE_ALARM = 0.7, 0.03  # Invented.
WHILE_ACTING = 0.7  # How much surer a fault acts right after it was seen acting. Invented.
LONGEST_POINT = 64


@dataclass(frozen=True, slots=True)
class Outcome:
    """One thing that can be read: `says` is the verdict of the run, with a sentence ready to record."""

    id: str
    label: str
    says: Says
    observation: str
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True)
class Planned:
    """One test. `reads` gives the row of a suspect, `probe` is what the document can carry of it."""

    id: str
    label: str
    kind: PlanKind
    minutes: float
    zones: tuple[str, ...]
    outcomes: tuple[Outcome, ...]
    code: str
    point: str
    reads: Reader
    probe: Probe | None = None
    after: tuple[str, ...] = ()
    max_uses: int = 1
    provocation: float = 0.0
    caution: str = ""
    needs_acting: bool = True
    unit: str = ""
    lo: float | None = None
    hi: float | None = None


@dataclass(frozen=True, slots=True)
class Watch:
    """What shows the symptom, and the words for it gone and still there."""

    probe: Probe
    gone_id: str
    gone: str
    there_id: str
    there: str


def watch_of(circuit: Circuit, probe: Probe) -> Watch:
    """Return the words for a symptom by what shows it."""
    if circuit.topology == "draw":
        return Watch(probe, "falls", "the current falls to normal", "stays", "the current stays too high")
    name = circuit.name_of(probe.at)
    if circuit.topology == "feed":
        return Watch(probe, "works", f"the {name} works", "out", f"the {name} stays dead")
    if probe.quantity == "answers":
        return Watch(probe, "answers", f"the {name} answers", "silent", f"the {name} stays silent")
    if probe.quantity == "disturbed":
        return Watch(probe, "clean", "messages run clean", "disturbed", "messages are still lost")
    return Watch(probe, "alive", "the line comes up", "dead", "the line stays down")


@dataclass(frozen=True)
class Bench:
    """Everything the makers of tests look at."""

    circuit: Circuit
    network: Network
    options: Options
    watch: Watch

    def at(self, id: str) -> Bench:
        """Return the bench with the same symptom watched at another unit or load."""
        return replace(self, watch=watch_of(self.circuit, replace(self.watch.probe, at=id)))

    def name(self, id: str) -> str:
        return self.circuit.name_of(id)

    def zones(self, *ids: str) -> tuple[str, ...]:
        """Return the zones in which these places and wires lie, without doubles."""
        found = (self._zone(id) for id in ids)
        return tuple(dict.fromkeys(zone for zone in found if zone))

    def _zone(self, id: str) -> str:
        place = self.circuit.place_by_id.get(id)
        if place:
            return place.zone
        wire = self.circuit.wire_by_id[id]
        return wire.zone or self._zone(wire.end)

    def reader(self, probe: Probe) -> Reader:
        return reader(self.network, probe)

    @property
    def error(self) -> float:
        return self.options.error


def two(
    good: tuple[str, str, str], bad: tuple[str, str, str], *, limit: float | None = None, unit: str = ""
) -> tuple[Outcome, Outcome]:
    """Return a passing and a failing outcome from (id, label, sentence); a limit parts the scale."""
    return (
        Outcome(*_said(good, "pass"), low=0.0 if unit else None, high=limit),
        Outcome(*_said(bad, "fail"), low=limit),
    )


def _said(words: tuple[str, str, str], says: Says) -> tuple[str, str, Says, str]:
    return words[0], words[1], says, words[2]
