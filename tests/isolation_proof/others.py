"""Problems without a drawing: mixed costs, groups, repairs that tell; readings that err or come and go."""

from tests.isolation_proof.buses import Hub
from tests.isolation_proof.draft import CATCH_ALL, Draft


def mixed_cost(seed: int):
    """Any subset may read bad; what costs a minute and what costs an hour tell about as much."""
    draft = Draft("mixed_cost", seed)
    suspects = _suspects(draft, draft.rng.randint(9, 12))
    zones = [draft.zone(f"z{number}", (1, 25)) for number in range(3)]
    zones.append(draft.zone("z_in", (1, 9), inside=zones[0]))
    for number in range(draft.rng.randint(10, 13)):
        bad = draft.rng.sample(suspects, draft.rng.randint(1, len(suspects) // 2))
        minutes = max(0.5, round(draft.rng.lognormvariate(1.4, 0.9), 1))
        at = [draft.rng.choice(zones)] if draft.chance(0.6) else []
        draft.probe(f"t{number}", "measure", minutes, bad, zones=at)
    return draft.document()


def groups(seed: int):
    """Suspects that share a repair, and readings of three or four kinds."""
    draft = Draft("groups", seed)
    names = [
        draft.suspect(f"s{number}", "dead", group=draft.rng.choice(["loom", "unit", "box", "earth"]))
        for number in range(draft.rng.randint(10, 12))
    ]
    names.append(draft.suspect("alone", "open"))
    zones = [draft.zone(f"z{number}", (1, 15)) for number in range(3)]
    for number in range(draft.rng.randint(9, 12)):
        kinds = draft.rng.choice([2, 2, 3, 4])
        rows = {}
        for name in names:
            seen = draft.rng.randrange(kinds)
            rows[name] = [int(place == seen) for place in range(kinds)]
        outcomes = [f"o{place}" for place in range(kinds)]
        minutes = draft.between(1, 14)
        healthy = [1] + [0] * (kinds - 1)
        at = [draft.rng.choice(zones)] if draft.chance(0.7) else []
        draft.test(f"t{number}", "measure", minutes, rows, healthy, outcomes=outcomes, zones=at)
    return draft.document()


def repairs(seed: int):
    """Swap or mend and see whether the symptom is gone, beside a few cheap readings that narrow down."""
    draft = Draft("repairs", seed)
    names = _suspects(draft, draft.rng.randint(9, 12))
    everyone = {*names, CATCH_ALL}
    zones = [draft.zone(f"z{number}", (1, 15)) for number in range(4)]
    for name in names[:-2]:
        swap = draft.between(4, 35)
        draft.probe(f"swap_{name}", "swap", swap, everyone - {name}, zones=[draft.rng.choice(zones)])
    for number in range(3):
        bad = draft.rng.sample(names, draft.rng.randint(2, len(names) // 2))
        draft.probe(f"reading_{number}", "read_out", draft.between(1, 8), bad)
    return draft.document()


def noisy(seed: int):
    """Readings that miss and raise false alarms; nothing is struck off by one of them."""
    draft = Draft("noisy", seed)
    names = _suspects(draft, draft.rng.randint(7, 9))
    zones = [draft.zone(f"z{number}", (1, 12)) for number in range(3)]
    for number in range(draft.rng.randint(7, 9)):
        bad = draft.rng.sample(names, draft.rng.randint(1, 4))
        is_sure = draft.chance(0.35)
        draft.probe(
            f"t{number}",
            "inspect",
            draft.between(1, 9),
            bad,
            miss=0 if is_sure else draft.between(0.02, 0.3, 0.01),
            false_alarm=0 if is_sure else draft.between(0.01, 0.15, 0.01),
            zones=[draft.rng.choice(zones)] if draft.chance(0.7) else [],
            max_uses=2 if number == 0 and not is_sure else 1,
        )
    return draft.document((60, 200))


def intermittent(seed: int):
    """A line that goes down now and then: a good reading says little, a repeat or a shake says more."""
    draft = Draft("intermittent", seed)
    activity = lambda: draft.between(0.3, 0.8, 0.05) if draft.chance(0.6) else 1.0  # noqa: E731
    hub = Hub(draft, "h", draft.rng.randint(5, 6), chafes=draft.rng.randint(1, 2), activity=activity)
    hub.places(15)
    everyone = hub.all | {CATCH_ALL}
    hub.unplugs(everyone)
    bad = {hub.green, CATCH_ALL}
    draft.probe("bar_out", "remove_bar", draft.between(1, 4), bad, zones=[hub.zone], max_uses=2)
    half = hub.beyond(hub.units[:2]) | bad
    draft.probe("half_back", "jumper", draft.between(2, 4), half, zones=[hub.zone])
    shaken = draft.rng.choice(hub.units)
    # Parted at its leg and shaken: the line stays down unless the leg was the culprit.
    draft.probe(
        "shake",
        "wiggle",
        draft.between(2, 5),
        everyone - hub.beyond([shaken]),
        zones=[hub.zone_of[shaken]],
        provocation=draft.between(0.4, 0.9, 0.1),
    )
    return draft.document((60, 200))


def _suspects(draft: Draft, count: int) -> list[str]:
    kinds = ["open", "short_to_ground", "high_resistance", "dead"]
    return [draft.suspect(f"s{number}", draft.rng.choice(kinds)) for number in range(count)]
