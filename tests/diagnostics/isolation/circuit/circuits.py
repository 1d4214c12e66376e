"""Random maps of every topology, drawn in any direction, with rings, zones and assumed units."""

from dataclasses import replace

from hypothesis import strategies as st

from diagnostics.isolation.circuit import Circuit, Options, Place, Symptom, Wire, Zone

ZONES = (
    Zone("front", "front cover", 3, 2),
    Zone("floor", "floor panel", 14, 10),
    Zone("deep", "", 5, 3, "floor"),
)
zones = st.sampled_from(["", "front", "floor", "deep"])
fitted = st.sampled_from(["verified", "verified", "assumed", "no"])


BOTH = Symptom(bus="alive", silent=("U0", "U1"))


class _Drawing:
    def __init__(self, draw):
        self.draw, self.places, self.wires = draw, [], []

    def put(self, id, kind, *, fitted="verified"):
        self.places.append(Place(id, kind, f"{kind} {id}", self.draw(zones), fitted))
        return id

    def join(self, start, end, *, removable=True):
        if self.draw(st.booleans()):
            start, end = end, start
        self.wires.append(Wire(f"w{len(self.wires)}", start, end, removable=removable))

    def circuit(self, topology, lines=1):
        return Circuit(topology, tuple(self.places), tuple(self.wires), ZONES, lines)


@st.composite
def buses(draw, lines=1):
    """A tree or a ring of hubs with units on them."""
    paper = _Drawing(draw)
    hubs = [paper.put(f"H{n}", "hub" if lines == 1 else "splice") for n in range(draw(st.integers(1, 4)))]
    for n, hub in enumerate(hubs[1:], start=1):
        paper.join(hubs[draw(st.integers(0, n - 1))] if lines == 1 else hubs[n - 1], hub)
    drawn = {frozenset((wire.start, wire.end)) for wire in paper.wires}
    if lines == 1 and len(hubs) > 2 and draw(st.booleans()) and frozenset((hubs[0], hubs[-1])) not in drawn:
        paper.join(hubs[0], hubs[-1])
    paper.join(draw(st.sampled_from(hubs)), paper.put("P", "tester_port"))
    for n in range(draw(st.integers(2, 6))):
        status = "verified" if n < 2 else draw(fitted)
        paper.join(draw(st.sampled_from(hubs)), paper.put(f"U{n}", "module", fitted=status))
    if lines == 2:
        paper.join(hubs[0], paper.put("R1", "end_resistor"))
        paper.join(hubs[-1], paper.put("R2", "end_resistor"))
    return paper.circuit("bus", lines)


@st.composite
def feeds(draw):
    """Source, fuse, joints, one to three loads, joints, one ground."""
    paper = _Drawing(draw)
    last = paper.put("B", "source")
    for n, kind in enumerate(["fuse", *draw(st.lists(st.sampled_from(["connector", "switch"]), max_size=2))]):
        paper.join(last, last := paper.put(f"S{n}", kind))
    paper.join(last, last := paper.put("T", "splice"))
    ground = paper.put("G", "ground")
    joint = paper.put("J", "splice")
    paper.join(joint, ground)
    for n in range(draw(st.integers(1, 3))):
        load = paper.put(f"L{n}", "load")
        paper.join(last, load)
        paper.join(load, joint)
    return paper.circuit("feed")


@st.composite
def draws(draw):
    """Fuses on a source, one of them maybe behind another, with loads and units."""
    paper = _Drawing(draw)
    paper.put("B", "source")
    fuses = [paper.put(f"F{n}", "fuse") for n in range(draw(st.integers(1, 4)))]
    for n, fuse in enumerate(fuses):
        paper.join("B" if n < 2 else draw(st.sampled_from(["B", fuses[n - 1]])), fuse, removable=False)
    for n in range(draw(st.integers(2, 6))):
        kind = draw(st.sampled_from(["load", "module"]))
        paper.join(draw(st.sampled_from(fuses)), paper.put(f"L{n}", kind))
    return paper.circuit("draw")


@st.composite
def problems(draw):
    """A map with a symptom that can be had of it."""
    topology = draw(st.sampled_from(["bus", "pair", "feed", "draw"]))
    intermittent = draw(st.booleans())
    acting = draw(st.sampled_from([None, True])) if intermittent else None
    options = Options(
        intermittent=intermittent,
        acting=acting,
        pairs=draw(st.sampled_from(["none", "none", "best", "all"])),
        error=draw(st.sampled_from([0.0, 0.01])),
    )
    if topology == "feed":
        return draw(feeds()), options
    if topology == "draw":
        return draw(draws()), options
    circuit = draw(buses(1 if topology == "bus" else 2))
    symptom = draw(
        st.sampled_from(
            [Symptom(bus="dead"), Symptom(bus="noisy"), Symptom(bus="alive", silent=("U0",)), Symptom(), BOTH]
        )
    )
    return circuit, replace(options, symptom=symptom)
