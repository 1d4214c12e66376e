"""Circuits of every shape with marks of every kind, for tests."""

from hypothesis import strategies as st

from diagnostics.isolation.circuit import Circuit, Place, Wire, Zone
from diagnostics.isolation.drawing import Mark, Marks

NAMES = st.text("abcdefgh WMé–漢", min_size=1, max_size=30).filter(str.strip)
ZONES = tuple(Zone(f"z{n}", f"zone {n}", 5.0 * n, 2.0 * n, already_open=n == 0) for n in range(4))
BESIDE = {
    "bus": ("module", "connector", "splice", "tester_port"),
    "feed": ("load", "connector", "switch", "ground"),
    "draw": ("fuse", "load", "module", "splice"),
}


def _spine(topology, lines, count):
    """What stands first: hubs joined in a row, a line between end resistors, or a supply."""
    if topology != "bus":
        return ["source"]
    return ["end_resistor", *["splice"] * count, "end_resistor"] if lines == 2 else ["hub"] * count


@st.composite
def circuits(draw, most=60):
    topology, lines = draw(st.sampled_from([("bus", 1), ("bus", 2), ("feed", 1), ("draw", 1)]))
    kinds = _spine(topology, lines, draw(st.integers(1, 8)))
    count = draw(st.integers(len(kinds), most))
    wires = [(n - 1, n) for n in range(1, len(kinds))]
    for n in range(len(kinds), count):
        kinds.append(draw(st.sampled_from(BESIDE[topology])))
        wires.append((draw(st.integers(0, n - 1)), n))
    pairs = st.tuples(st.integers(0, count - 1), st.integers(0, count - 1))
    wires += [pair for pair in draw(st.lists(pairs, max_size=3)) if pair[0] != pair[1]]
    return Circuit(
        topology,
        tuple(_place(draw, n, kind) for n, kind in enumerate(kinds)),
        tuple(Wire(f"w{n}", f"p{a}", f"p{b}") for n, (a, b) in enumerate(wires)),
        ZONES,
        lines,
    )


def _place(draw, n, kind):
    zone = draw(st.sampled_from(["", "", *(zone.id for zone in ZONES)]))
    fitted = draw(st.sampled_from(["verified", "verified", "assumed"]))
    return Place(f"p{n}", kind, draw(NAMES), zone, fitted)


MARKS = st.builds(
    Mark,
    state=st.sampled_from(["", "untouched", "suspect", "cleared", "isolated"]),
    chance=st.floats(0, 1),
    readings=st.lists(st.integers(1, 30), max_size=6).map(tuple),
    is_next=st.booleans(),
    is_parted=st.booleans(),
    href=st.sampled_from(["", "#there"]),
)


@st.composite
def marked(draw, most=60):
    """A circuit and marks for some of its places and wires."""
    circuit = draw(circuits(most))
    few = draw(st.lists(MARKS, min_size=1, max_size=5))

    def some(things):
        return {thing.id: few[n % len(few)] for n, thing in enumerate(things) if draw(st.booleans())}

    return circuit, Marks(some(circuit.places), some(circuit.wires), frozenset(draw(st.sets(st.just("z1")))))
