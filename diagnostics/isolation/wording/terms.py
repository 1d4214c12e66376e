"""What the things of a problem are called, what a test costs and what it can read, in plain terms."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from diagnostics.isolation.wording.clauses import clause_of
from diagnostics.isolation.wording.figures import minutes

CATCH_ALL = "catch_all"


@dataclass(frozen=True, slots=True)
class Zone:
    """A place to open: minutes to get in and to refit, and the zone that must be open first."""

    id: str
    label: str
    open_minutes: float
    close_minutes: float
    inside: str = ""
    already_open: bool = False


@dataclass(frozen=True, slots=True)
class Candidate:
    """A suspect: its name, where it sits and how often it acts."""

    id: str
    label: str
    kind: str
    at: str
    group: str
    activity: float
    claim: str = ""


@dataclass(frozen=True, slots=True)
class Outcome:
    """One reading of a test, and how it stands after "if": "it reads alive", "the line comes up"."""

    id: str
    label: str
    clause: str


@dataclass(frozen=True)
class Test:
    """A test: name, hands-on minutes, the zones it needs, its readings and their likelihoods."""

    __test__ = False  # Not a test of this code.

    id: str
    label: str
    kind: str
    minutes: float
    zones: tuple[str, ...]
    outcomes: tuple[Outcome, ...]
    caution: str
    provocation: float
    at: tuple[str, ...]
    after: tuple[str, ...]
    rows: Mapping[str, Sequence[float]] = field(repr=False)
    default: Sequence[float] = field(repr=False, default=())
    quiet: Sequence[float] = field(repr=False, default=())

    @cached_property
    def position(self) -> dict[str, int]:
        """Outcome id to its place in a row."""
        return {outcome.id: place for place, outcome in enumerate(self.outcomes)}

    def outcome(self, id: str) -> Outcome:
        """Return a reading by its id."""
        return self.outcomes[self.position[id]]

    def likelihood(self, candidate: Candidate) -> Sequence[float]:
        """Return P(outcome given candidate) in the order of outcomes, the fault acting now and then.

        fault-isolation.md section 2: a' = 1 - (1 - a)(1 - v); the quiet row while it does not act.
        """
        acting_row = self.rows.get(candidate.id, self.default)
        acting = self.activity_of(candidate)
        if acting >= 1 or not self.quiet:
            return acting_row
        return tuple(acting * a + (1 - acting) * q for a, q in zip(acting_row, self.quiet, strict=True))

    def activity_of(self, candidate: Candidate) -> float:
        """Return the chance that the fault acts while this test is done."""
        return 1 - (1 - candidate.activity) * (1 - self.provocation)


@dataclass(frozen=True)
class Terms:
    """All that the sentences need to know of one problem."""

    candidates: Mapping[str, Candidate]
    tests: Mapping[str, Test]
    zones: Mapping[str, Zone]
    wires: Mapping[str, tuple[str, str]]
    wrong_minutes: float
    circuit_names: Mapping[str, str]

    def to_open(self, test: str, open_zones: Iterable[str]) -> tuple[Zone, ...]:
        """Return the zones that a test still has to open, the outermost first."""
        already, found = set(open_zones), list[Zone]()
        for name in self.tests[test].zones:
            chain = []
            while name and name not in already:
                already.add(name)
                zone = self.zones[name]
                if not zone.already_open:
                    chain.append(zone)
                name = zone.inside
            found.extend(reversed(chain))
        return tuple(found)

    def price(self, test: str, open_zones: Iterable[str]) -> float:
        """Return the minutes of a test now: access, refit and the work itself."""
        access = sum(zone.open_minutes + zone.close_minutes for zone in self.to_open(test, open_zones))
        return access + self.tests[test].minutes

    def price_words(self, test: str, open_zones: Iterable[str]) -> str:
        """Return the price in its parts: "11 min to get in, 8 to refit, 2 to do"."""
        zones = self.to_open(test, open_zones)
        get_in = sum(zone.open_minutes for zone in zones)
        refit = sum(zone.close_minutes for zone in zones)
        if not get_in + refit:
            return f"{minutes(self.tests[test].minutes)}, nothing to open"
        parts = ((get_in, "to get in"), (refit, "to refit"), (self.tests[test].minutes, "to do"))
        said = [f"{minutes(value)} {what}" for value, what in parts if value]
        # The unit is said once: "11 min to get in, 8 to refit, 2 to do".
        return ", ".join([said[0], *(each.replace(" min ", " ") for each in said[1:])])

    def candidate(self, id: str) -> str:
        """Return what a suspect is called."""
        return self.candidates[id].label

    def test(self, id: str) -> str:
        """Return what a test is called."""
        return self.tests[id].label

    def reading(self, test: str, outcome: str) -> str:
        """Return a reading as it stands in a list: "bar out at hub B: reads alive"."""
        found = self.tests[test]
        return f"{found.label}: {found.outcome(outcome).label}"

    def catch_alls(self) -> tuple[str, ...]:
        """Return the candidates that stand for whatever is not on the map."""
        return tuple(each.id for each in self.candidates.values() if each.kind == CATCH_ALL)

    def waiting_for(self, test: str) -> tuple[str, ...]:
        """Return the tests that may only be done after this one."""
        return tuple(each.id for each in self.tests.values() if test in each.after)

    def members(self, group: str) -> tuple[str, ...]:
        """Return the candidates of a group; a candidate without one is its own group."""
        return tuple(each.id for each in self.candidates.values() if each.group == group)


def terms_of(document: Mapping[str, Any]) -> Terms:
    """Return the terms of a document that has been checked (`load`)."""
    circuit = document.get("circuit", {})
    parts = [*circuit.get("nodes", ()), *circuit.get("branches", ())]
    return Terms(
        candidates={each["id"]: _candidate(each) for each in document["candidates"]},
        tests={each["id"]: _test(each) for each in document["tests"]},
        zones={each["id"]: _zone(each) for each in document.get("zones", ())},
        wires={each["id"]: (each["from"], each["to"]) for each in circuit.get("branches", ())},
        wrong_minutes=float(document["stop"]["wrong_minutes"]),
        circuit_names={each["id"]: each.get("label") or plain(each["id"]) for each in parts},
    )


def plain(id: str) -> str:
    """Return an id as words."""
    return id.replace("_", " ")


def _candidate(given: Mapping[str, Any]) -> Candidate:
    return Candidate(
        id=given["id"],
        label=given.get("label") or plain(given["id"]),
        kind=given["kind"],
        at=given.get("at", ""),
        group=given.get("group", given["id"]),
        activity=float(given.get("activity", 1)),
        claim=given.get("claim", ""),
    )


def _zone(given: Mapping[str, Any]) -> Zone:
    return Zone(
        id=given["id"],
        label=given.get("label") or plain(given["id"]),
        open_minutes=float(given["open_minutes"]),
        close_minutes=float(given.get("close_minutes", 0)),
        inside=given.get("inside", ""),
        already_open=bool(given.get("already_open", False)),
    )


def _test(given: Mapping[str, Any]) -> Test:
    likelihood, probe = given["likelihood"], given.get("probe", {})
    parted = tuple(probe.get("part", ()))
    return Test(
        id=given["id"],
        label=given.get("label") or plain(given["id"]),
        kind=given["kind"],
        minutes=float(given["minutes"]),
        zones=tuple(given.get("zones", ())),
        outcomes=tuple(_outcome(each, given) for each in given["outcomes"]),
        caution=given.get("caution", ""),
        provocation=float(given.get("provocation", 0)),
        at=parted or tuple(part for part in [probe.get("at", "")] if part),
        after=tuple(given.get("after", ())),
        rows=likelihood.get("by_candidate", {}),
        default=likelihood.get("default", ()),
        quiet=likelihood.get("quiet", ()),
    )


def _outcome(given: Mapping[str, Any], test: Mapping[str, Any]) -> Outcome:
    said = given.get("label") or _range(given)
    label = said or plain(given["id"])
    is_question = test.get("label", "").rstrip().endswith("?")
    return Outcome(given["id"], label, clause_of(label, test["kind"], is_question, bool(said)))


def _range(given: Mapping[str, Any]) -> str:
    """A reading by its limits: "9.5 to 12 V", "0.5 V or less"."""
    low, high, unit = given.get("from"), given.get("to"), given.get("unit", "")
    if low is not None and high is not None:
        said = f"{low:g} to {high:g} {unit}"
    elif low is not None:
        said = f"{low:g} {unit} or more"
    elif high is not None:
        said = f"{high:g} {unit} or less"
    else:
        return ""
    return " ".join(said.split())
