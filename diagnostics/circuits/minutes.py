"""Where the minutes of a map come from: general values, what this map says, and what was really taken."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from diagnostics.isolation.circuit import Circuit, Options, Symptom
from diagnostics.isolation.circuit.orienting import oriented
from diagnostics.isolation.circuit.physics import Network
from diagnostics.isolation.circuit.planned import Planned, bench_of, tests_of
from diagnostics.isolation.minutes import Learned, learned, shared_out
from diagnostics.models import CircuitMap, MapTest, MapZone, SearchTiming
from shared.wording import count_text

LEAST_TIMES = 2  # One time is no habit. Our choice.
KINDS = {
    "measure": "Measure",
    "remove_bar": "Part at a bar",
    "unplug": "Unplug",
    "inspect": "Look",
    "read_out": "Call from the socket",
    "jumper": "Bridge",
    "wiggle": "Wiggle",
    "swap": "Swap",
}


@dataclass(frozen=True, slots=True)
class Offer:
    """Learned minutes that differ from those that are planned with: "17 instead of 12 min, from 5 times"."""

    minutes: Decimal
    planned: Decimal
    learned: Learned

    @property
    def words(self) -> str:
        times = count_text(self.learned.count, "time")
        return f"{self.minutes} instead of {self.planned} min, from {times}"

    @property
    def spread(self) -> str:
        low, high = self.learned.value / self.learned.spread, self.learned.value * self.learned.spread
        return f"most of them {max(round(low), 1)} to {max(round(high), 1)} min"


@dataclass(frozen=True, slots=True)
class TestRow:
    """One test that follows from a map, the minutes it is planned with, and where they come from."""

    __test__ = False

    id: str
    label: str
    kind: str
    caution: str
    minutes: Decimal
    general: Decimal
    own: MapTest | None
    offer: Offer | None

    @property
    def is_offered(self) -> bool:
        return self.own is None or self.own.is_offered

    @property
    def planned_words(self) -> str:
        return f"{self.minutes} min"

    @property
    def general_words(self) -> str:
        return f"{self.general} min"

    @property
    def source(self) -> str:
        """Where the minutes come from."""
        if self.own is None or self.own.minutes is None:
            return "general value"
        if self.own.learned_count:
            return f"learned from {count_text(self.own.learned_count, 'time')}"
        return "this map"


def planned_tests(circuit: Circuit) -> tuple[Planned, ...]:
    """Return every test that a search on a map may propose, whatever the symptom; the general ones first.

    The map must be one that can be used: `check` finds nothing.
    """
    drawn = oriented(circuit)
    network = Network(drawn)
    found: dict[str, Planned] = {}
    for options in _symptoms(circuit):
        for planned in tests_of(bench_of(drawn, network, options))[0]:
            found.setdefault(planned.id, planned)
    return tuple(found.values())


def _symptoms(circuit: Circuit) -> Iterable[Options]:
    yield Options()
    if circuit.topology == "bus":
        yield Options(symptom=Symptom(bus="noisy"))
        units = [place for place in circuit.of_kind("module") if place.fitted != "no"]
        yield from (Options(symptom=Symptom(bus="alive", silent=(unit.id,))) for unit in units)
    yield Options(intermittent=True)


def test_rows(drawn: CircuitMap, circuit: Circuit, timings: Timings) -> tuple[TestRow, ...]:
    """Return the tests of a map in the order of what is done."""
    own = {row.key: row for row in drawn.tests.all()}
    order = list(KINDS)
    rows = [_row(planned, own.get(planned.id), timings) for planned in planned_tests(circuit)]
    return tuple(sorted(rows, key=lambda row: order.index(row.kind) if row.kind in order else len(order)))


test_rows.__test__ = False  # type: ignore[attr-defined]


def _row(planned: Planned, own: MapTest | None, timings: Timings) -> TestRow:
    general = exact(planned.minutes)
    minutes = own.minutes if own and own.minutes is not None else general
    caution = " ".join(filter(None, [own.caution if own else "", planned.caution]))
    offer = offered(general, minutes, timings.of_test.get(planned.id, ()))
    return TestRow(planned.id, planned.label, planned.kind, caution, minutes, general, own, offer)


@dataclass(frozen=True, slots=True)
class Timings:
    """The minutes that searches on one map really took, by test and by zone."""

    of_test: Mapping[str, tuple[float, ...]]
    of_zone: Mapping[str, tuple[float, ...]]


def timings_of(drawn: CircuitMap, zones: Iterable[MapZone]) -> Timings:
    """Return what was really taken on a map. One query.

    Time to get in through several zones is shared out over them by what each is expected to take.
    """
    expected = {zone.key: float(_start(zone)) for zone in zones}
    tests: dict[str, list[float]] = defaultdict(list)
    opened: dict[str, list[float]] = defaultdict(list)
    for row in SearchTiming.objects.filter(search__circuit_map=drawn).order_by("pk"):
        if row.minutes:
            tests[row.test].append(float(row.minutes))
        through = {key: expected[key] for key in row.zones if key in expected}
        if row.access_minutes and through:
            for key, minutes in shared_out(float(row.access_minutes), through).items():
                opened[key].append(minutes)
    return Timings(
        {key: tuple(minutes) for key, minutes in tests.items()},
        {key: tuple(minutes) for key, minutes in opened.items()},
    )


def zone_offer(zone: MapZone, timings: Timings) -> Offer | None:
    """Return the learned minutes to open a zone, where they differ from those of the map."""
    return offered(_start(zone), zone.open_minutes, timings.of_zone.get(zone.key, ()))


def zone_source(zone: MapZone) -> str:
    """Where the minutes of a zone come from."""
    if zone.learned_count:
        return f"learned from {count_text(zone.learned_count, 'time')}"
    return "this map"


def offered(general: Decimal, planned: Decimal, observed: Iterable[float]) -> Offer | None:
    """Return what is learned from the minutes observed, or None where that changes nothing."""
    times = list(observed)
    if len(times) < LEAST_TIMES or general <= 0:
        return None
    found = learned(float(general), times)
    minutes = rounded(found.value)
    return None if minutes == planned else Offer(minutes, planned, found)


def rounded(minutes: float) -> Decimal:
    """Minutes as a person says them: whole ones from 5 on, halves below."""
    return exact(round(minutes) if minutes >= 5 else max(0.5, round(minutes * 2) / 2))


def exact(minutes: float) -> Decimal:
    return Decimal(f"{minutes:g}")


def _start(zone: MapZone) -> Decimal:
    return zone.open_minutes if zone.general_minutes is None else zone.general_minutes
