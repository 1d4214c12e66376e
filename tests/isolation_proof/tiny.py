"""Problems small enough for brute force, yet with everything in them that the document can say."""

from tests.isolation_proof.draft import CATCH_ALL, Draft


def tiny(seed: int):
    """Three or four suspects and tests: nested zones, groups, doors, repeats, noise, quiet rows."""
    draft = Draft("tiny", seed)
    outer = draft.zone("outer", (0, 6))
    inner = draft.zone("inner", (1, 6), inside=outer)
    side = draft.zone("side", (1, 9), already=draft.chance(0.3))
    names = []
    for number in range(draft.rng.randint(2, 3)):
        group = "shared" if draft.chance(0.3) else ""
        activity = draft.between(0.3, 0.9, 0.1) if draft.chance(0.3) else 1.0
        names.append(draft.suspect(f"s{number}", "open", group=group, activity=activity))
    tests: list[str] = []
    for number in range(draft.rng.randint(3, 4)):
        kinds = draft.rng.choice([2, 2, 2, 3])
        more = {
            "outcomes": [f"o{place}" for place in range(kinds)],
            "zones": draft.rng.sample([outer, inner, side], draft.rng.randint(0, 2)),
            "after": [draft.rng.choice(tests)] if tests and draft.chance(0.3) else [],
            "max_uses": 2 if number == 0 and kinds == 2 and draft.chance(0.4) else 1,
            "provocation": draft.rng.choice([0, 0, 0.5]),
        }
        rows = {name: _row(draft, kinds) for name in [*names, CATCH_ALL] if draft.chance(0.7)}
        tests.append(
            draft.test(f"t{number}", "measure", draft.between(1, 9), rows, _row(draft, kinds), **more)
        )
    return draft.document((10, 120))


def _row(draft: Draft, kinds: int) -> list[float]:
    sure = draft.rng.randrange(kinds)
    if draft.chance(0.6):
        return [float(place == sure) for place in range(kinds)]
    miss = draft.between(0.05, 0.4, 0.05)
    rest = miss / (kinds - 1)
    return [1 - miss if place == sure else rest for place in range(kinds)]
