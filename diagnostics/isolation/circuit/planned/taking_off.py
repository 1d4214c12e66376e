"""Tests that take something off and watch the symptom: bar out, leg off, legs back, unplug, swap, bypass."""

from __future__ import annotations

from dataclasses import replace

from diagnostics.isolation.circuit.physics import Probe
from diagnostics.isolation.circuit.places import Wire
from diagnostics.isolation.circuit.planned.plan import MINUTES, Bench, Outcome, Planned

FEWEST_LEGS_FOR_A_BAR = 2
MOST_CUTS = 8


def _outcomes(bench: Bench, done: str) -> tuple[Outcome, Outcome]:
    """Symptom gone speaks against what was taken off; still there speaks for it."""
    watch = bench.watch
    return (
        Outcome(watch.gone_id, watch.gone, "fail", f"{done}: {watch.gone}."),
        Outcome(watch.there_id, watch.there, "pass", f"{done}: {watch.there}."),
    )


def watching(
    bench: Bench,
    *,
    part: tuple[str, ...] = (),
    bridge: tuple[str, ...] = (),
    swapped: tuple[str, ...] = (),
) -> Probe:
    """Return the probe of the symptom with something parted, joined back or swapped."""
    read = replace(bench.watch.probe, false_alarm=bench.error, miss=bench.error)
    return replace(read, part=part, bridge=bridge, swapped=swapped)


def legs_of(bench: Bench, hub: str) -> tuple[Wire, ...]:
    """Return the removable legs that begin at a hub and do not lead to the root."""
    back = bench.network.ways_back(hub)
    return tuple(
        wire
        for wire in bench.circuit.wires_at[hub]
        if wire.start == hub and wire.removable and wire.id not in back
    )


def bars(bench: Bench) -> list[Planned]:
    """Take the bar out at each hub, and join its legs back one by one."""
    made: list[Planned] = []
    for hub in bench.circuit.of_kind("hub"):
        legs = tuple(wire.id for wire in legs_of(bench, hub.id))
        if len(legs) >= FEWEST_LEGS_FOR_A_BAR:
            made.append(_bar_out(bench, hub.id, legs))
            made += [_back(bench, hub.id, legs, count) for count in _cuts(len(legs))]
    return made


def _cuts(count: int) -> list[int]:
    """Where to stop joining back: every leg at a small hub, at a large one some and the half."""
    if count - 1 <= MOST_CUTS:
        return list(range(1, count))
    spread = {round(count * step / (MOST_CUTS + 1)) for step in range(1, MOST_CUTS + 1)}
    return sorted(spread | {count // 2})


def _bar_out(bench: Bench, hub: str, legs: tuple[str, ...]) -> Planned:
    name = bench.name(hub)
    probe = watching(bench, part=legs)
    return Planned(
        f"bar_out_{hub}",
        f"Take the bar out at {name}: its {len(legs)} legs off",
        "remove_bar",
        MINUTES["bar"],
        bench.zones(hub, bench.network.root),
        _outcomes(bench, f"Bar out at {name}"),
        "hub_bar_out",
        f"{name}, bar out",
        bench.reader(probe),
        probe,
        max_uses=2,
    )


def _back(bench: Bench, hub: str, legs: tuple[str, ...], count: int) -> Planned:
    name = bench.name(hub)
    back = legs[:count]
    half = "half of the legs" if count == len(legs) // 2 and count > 1 else _legs(count)
    probe = watching(bench, part=legs, bridge=back)
    watch = bench.watch
    done = f"Bar out at {name}, first {_legs(count)} joined back"
    return Planned(
        f"back_{hub}_{count}",
        f"Bar out at {name}, first {half} joined back (up to the {bench.name(back[-1])})",
        "jumper",
        MINUTES["back"],
        bench.zones(hub, bench.network.root),
        (
            Outcome(watch.gone_id, watch.gone, "pass", f"{done}: {watch.gone}."),
            Outcome(watch.there_id, watch.there, "fail", f"{done}: {watch.there}."),
        ),
        "branches_back",
        f"{name}, first {_legs(count)} back",
        bench.reader(probe),
        probe,
        max_uses=2,
    )


def _legs(count: int) -> str:
    return "leg" if count == 1 else f"{count} legs"


def legs_off(bench: Bench) -> list[Planned]:
    """Take each removable wire off where it begins; a fault in the wire leaves with it."""
    made: list[Planned] = []
    for wire in bench.circuit.wires:
        if not wire.removable:
            continue
        if wire.end == bench.network.root:
            made += _socket_leg_off(bench, wire)
            continue
        name, start = bench.name(wire.id), bench.name(wire.start)
        probe = watching(bench, part=(wire.id,))
        made.append(
            Planned(
                f"leg_off_{wire.id}",
                f"Take the {name} off at {start}",
                "remove_bar",
                MINUTES["leg"],
                bench.zones(wire.start, bench.network.root),
                _outcomes(bench, f"{_capital(name)} off at {start}"),
                "branch_off",
                f"{name}, off at {start}",
                bench.reader(probe),
                probe,
                max_uses=2,
            )
        )
    return made


def _socket_leg_off(bench: Bench, leg: Wire) -> list[Planned]:
    """Take the socket leg off and read the line at its hub: alive there, the fault is in the leg."""
    if bench.watch.probe.quantity != "bus_state":
        return []
    name, start = bench.name(leg.id), bench.name(leg.start)
    probe = replace(watching(bench, part=(leg.id,)), at=leg.start)
    return [
        Planned(
            f"leg_off_{leg.id}",
            f"Take the {name} off and read the line at {start} itself",
            "remove_bar",
            MINUTES["leg"],
            bench.zones(leg.start),
            _outcomes(bench, f"{_capital(name)} off, line read at {start}"),
            "branch_off",
            f"{name}, off at {start}",
            bench.reader(probe),
            probe,
            max_uses=2,
        )
    ]


def unplugs(bench: Bench, *, code: str = "unit_unplugged", extra_minutes: float = 0.0) -> list[Planned]:
    """Unplug each unit or load; a fault in the wire to it stays."""
    return [
        _unplug(bench, place.id, code, extra_minutes)
        for place in bench.circuit.of_kind("module", "load", "end_resistor")
        if place.fitted != "no"
    ]


def _unplug(bench: Bench, id: str, code: str, extra_minutes: float) -> Planned:
    name = bench.name(id)
    probe = watching(bench, part=(id,))
    return Planned(
        f"unplug_{id}",
        f"Unplug the {name}",
        "unplug",
        MINUTES["unplug"] + extra_minutes,
        bench.zones(id, bench.network.root),
        _outcomes(bench, f"{_capital(name)} unplugged"),
        code,
        f"{name} unplugged",
        bench.reader(probe),
        probe,
    )


def swaps(bench: Bench, ids: list[str]) -> list[Planned]:
    """Put a known-good part in: the repair as a test."""
    made: list[Planned] = []
    for id in ids:
        name = bench.name(id)
        probe = watching(bench, swapped=(id,))
        made.append(
            Planned(
                f"swap_{id}",
                f"Put a known-good {name} in",
                "swap",
                MINUTES["swap"],
                bench.zones(id, bench.network.root),
                _outcomes(bench, f"Known-good {name} in"),
                "swap_try",
                name,
                bench.reader(probe),
                None,
            )
        )
    return made


def bypasses(bench: Bench, ids: list[str]) -> list[Planned]:
    """Bridge a wire or a joint with a fused lead: if the symptom goes, it lies in what is bridged."""
    made: list[Planned] = []
    for id in ids:
        name = bench.name(id)
        wire = bench.circuit.wire_by_id.get(id)
        ends = (wire.start, wire.end) if wire else (id,)
        probe = watching(bench, swapped=(id,))
        made.append(
            Planned(
                f"bypass_{id}",
                f"Bridge the {name} with a test lead",
                "jumper",
                MINUTES["bypass"],
                bench.zones(*ends, bench.network.root),
                _outcomes(bench, f"Test lead across the {name}"),
                "bypass_try",
                name,
                bench.reader(probe),
                None,
            )
        )
    return made


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
