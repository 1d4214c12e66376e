"""Problems on a supply: a chain, a tree with several loads dead, a standing draw over the fuses."""

from tests.isolation_proof.draft import CATCH_ALL, Draft


def feed_chain(seed: int):
    """Source to ground through a row of stages: a reading is wrong when the break lies before it."""
    draft = Draft("feed_chain", seed)
    stages = draft.rng.randint(9, 13)
    breaks = [
        draft.suspect(f"break_{place}", draft.rng.choice(["open", "high_resistance"]))
        for place in range(1, stages + 1)
    ]
    trunk = draft.zone("trunk", (1, 12))
    zones = [
        draft.zone(f"z{number}", (0, 14), inside=trunk if draft.chance(0.3) else "") for number in range(4)
    ]
    load = stages * 2 // 3
    for place in range(1, stages):
        # Beyond the load the probe looks for voltage where none should be.
        bad = breaks[:place] if place <= load else breaks[place:]
        draft.probe(f"probe_{place}", "measure", draft.between(0.5, 5), bad, zones=[draft.rng.choice(zones)])
    draft.probe("drop_overall", "measure", draft.between(1, 4), breaks[:load], zones=[trunk])
    return draft.document()


def supply_tree(seed: int):
    """A source feeds branches that branch again; several loads are dead; a point is dead below its break."""
    draft = Draft("supply_tree", seed)
    nodes = draft.rng.randint(9, 13)
    parent = {place: draft.rng.randrange(max(0, place - 3), place) for place in range(1, nodes)}
    cuts = {place: draft.suspect(f"cut_{place}", "open") for place in parent}
    near, deep = draft.zone("near", (1, 8)), draft.zone("deep", (4, 20))
    inner = draft.zone("inner", (1, 8), inside=deep)
    for place in parent:
        path, at = set(), place
        while at:
            path.add(cuts[at])
            at = parent[at]
        draft.probe(
            f"volts_{place}",
            "measure",
            draft.between(0.5, 4),
            path,
            zones=draft.rng.choice([[], [near], [deep], [inner], [near, deep]]),
        )
    return draft.document()


def standing_draw(seed: int):
    """Current with the key off: drops over the fuses wake nothing, pulled fuses need a new sleep wait."""
    draft = Draft("standing_draw", seed)
    fuses = [f"f{number}" for number in range(1, draft.rng.randint(3, 4) + 1)]
    box, rear = draft.zone("box", (0, 6)), draft.zone("rear", (3, 16))
    users: dict[str, list[str]] = {}
    for fuse in fuses:
        users[fuse] = [
            draft.suspect(f"{fuse}_draw_{letter}", "draw", group=f"{fuse}_loom" if letter == "c" else "")
            for letter in "abc"[: draft.rng.choice([2, 3, 3])]
        ]
    high = {user for fuse in fuses for user in users[fuse] if draft.chance(0.4)}
    for fuse in fuses:
        # Three readings: nothing, a little, much.
        rows = {user: (0, 0, 1) if user in high else (0, 1, 0) for user in users[fuse]}
        outcomes = ("none", "little", "much")
        zones = [draft.rng.choice([box, rear])]
        draft.test(
            f"drop_{fuse}", "measure", draft.between(1, 4), rows, (1, 0, 0), outcomes=outcomes, zones=zones
        )
    pulled = {user for fuse in fuses[:2] for user in users[fuse]}
    kept = {user for fuse in fuses for user in users[fuse]} - pulled | {CATCH_ALL}
    draft.probe("pull_two", "measure", draft.between(6, 20), kept, zones=[box])
    for fuse in fuses:
        for user in users[fuse][:-1]:
            rest = {other for names in users.values() for other in names} - {user} | {CATCH_ALL}
            draft.probe(
                f"unplug_{user}",
                "unplug",
                draft.between(2, 10),
                rest,
                zones=[rear] if draft.chance(0.5) else [],
            )
    return draft.document()
