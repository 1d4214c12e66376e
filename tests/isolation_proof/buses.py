"""Problems on a shared line: one hub, two joined hubs, and a roll call with a unit that may not be there."""

from tests.isolation_proof.draft import CATCH_ALL, Draft


class Hub:
    """The suspects of one hub: units that pull, wires that chafe, green at the hub itself."""

    def __init__(self, draft: Draft, letter: str, units: int, *, chafes: int, activity=lambda: 1.0) -> None:
        self.draft = draft
        self.letter = letter
        self.units = [f"{letter}{number}" for number in range(1, units + 1)]
        self.pulls = {
            unit: draft.suspect(f"pull_{unit}", "pulls_bus", activity=activity()) for unit in self.units
        }
        chafed = draft.rng.sample(self.units, chafes)
        self.chafes = {
            unit: draft.suspect(f"chafe_{unit}", "short_to_ground", activity=activity()) for unit in chafed
        }
        self.green = draft.suspect(f"green_{letter}", "short_to_ground", group=f"hub_{letter}")

    def beyond(self, units) -> set[str]:
        """Suspects that leave with these legs: the unit and its wire."""
        return {self.pulls[unit] for unit in units} | {
            self.chafes[unit] for unit in units if unit in self.chafes
        }

    @property
    def all(self) -> set[str]:
        return self.beyond(self.units) | {self.green}

    def places(self, deep: float) -> None:
        """A zone for the hub, often behind another one, and a few for its units, some shared."""
        draft, letter = self.draft, self.letter
        floor = draft.zone(f"floor_{letter}", (2, deep))
        self.zone = draft.zone(f"at_hub_{letter}", (1, 6), inside=floor)
        shared = [draft.zone(f"trim_{letter}{number}", (1, 18)) for number in range(1, 3)]
        self.zone_of = {}
        for unit in self.units:
            if draft.chance(0.5):
                self.zone_of[unit] = draft.rng.choice([*shared, floor])
            else:
                self.zone_of[unit] = draft.zone(f"cover_{unit}", (0.5, 20))

    def unplugs(self, everyone, *, leave_out: int = 0, **more) -> None:
        """Unplug a unit: bad while the line stays down. Its chafed wire stays with the line."""
        for unit in self.units[: len(self.units) - leave_out]:
            self.draft.probe(
                f"unplug_{unit}",
                "unplug",
                self.draft.between(1, 5),
                everyone - {self.pulls[unit]},
                zones=[self.zone_of[unit]],
                **more,
            )


def star(seed: int):
    """One hub with its legs: unplug each, take the bar out, join half of the legs back, look at the hub."""
    draft = Draft("star", seed)
    hub = Hub(draft, "h", draft.rng.randint(6, 8), chafes=2)
    leg = draft.suspect("socket_leg", "assumption", weight=0.4)
    hub.places(25)
    everyone = hub.all | {leg, CATCH_ALL}
    hub.unplugs(everyone, leave_out=1)
    at_hub = {"zones": [hub.zone]}
    draft.probe("bar_out", "remove_bar", draft.between(1, 4), {hub.green, leg, CATCH_ALL}, **at_hub)
    half = hub.units[: len(hub.units) // 2]
    joined = hub.beyond(half) | {hub.green, leg, CATCH_ALL}
    draft.probe("half_back", "jumper", draft.between(2, 4), joined, **at_hub)
    draft.probe("level_at_hub", "measure", draft.between(1, 3), everyone - {leg}, **at_hub)
    return draft.document()


def joined_stars(seed: int):
    """Two hubs and the bridge between them; the socket hangs on the first."""
    draft = Draft("joined_stars", seed)
    near = Hub(draft, "a", draft.rng.randint(3, 4), chafes=1)
    far = Hub(draft, "b", draft.rng.randint(3, 4), chafes=1)
    bridge = draft.suspect("chafe_bridge", "short_to_ground")
    near.places(20)
    far.places(14)
    everyone = near.all | far.all | {bridge, CATCH_ALL}
    near.unplugs(everyone, leave_out=1)
    far.unplugs(everyone)
    bar = draft.between(1, 4)
    draft.probe("bridge_off", "remove_bar", bar, near.all | {CATCH_ALL}, zones=[near.zone])
    draft.probe("bar_a_out", "remove_bar", bar, {near.green, CATCH_ALL}, zones=[near.zone])
    alone = near.all | {bridge, far.green, CATCH_ALL}
    draft.probe("bar_b_out", "remove_bar", bar, alone, zones=[far.zone])
    return draft.document()


def fitted(seed: int):
    """Some units are silent in the roll call: each may be dead, cut off, or was never fitted.

    Nothing can be measured at a unit before a look has shown that it is there.
    """
    draft = Draft("fitted", seed)
    trunk = draft.suspect("trunk_open", "open", weight=0.3 + draft.rng.random())
    fuse = draft.suspect("shared_fuse", "open", weight=0.3 + draft.rng.random())
    panel = draft.zone("panel", (2, 12))
    units = [f"u{number}" for number in range(1, draft.rng.randint(2, 3) + 1)]
    absent, dead, cut = {}, {}, {}
    for unit in units:
        absent[unit] = draft.suspect(f"{unit}_not_fitted", "assumption")
        dead[unit] = draft.suspect(f"{unit}_dead", "dead")
        cut[unit] = draft.suspect(f"{unit}_cut_off", "open")
    for unit in units:
        zone = draft.zone(f"at_{unit}", (1, 15), inside=panel if draft.chance(0.4) else "")
        look = draft.probe(f"look_{unit}", "inspect", draft.between(0.5, 2), {absent[unit]}, zones=[zone])
        more = {"zones": [zone], "after": [look]}
        draft.probe(f"supply_{unit}", "measure", draft.between(1, 4), {fuse, absent[unit]}, **more)
        line = {cut[unit], trunk, absent[unit]}
        draft.probe(f"line_{unit}", "measure", draft.between(1, 5), line, **more)
        if draft.chance(0.6):
            draft.probe(f"swap_{unit}", "swap", draft.between(5, 20), _all(draft) - {dead[unit]}, **more)
    draft.probe("fuse_check", "measure", draft.between(1, 3), {fuse}, zones=[panel])
    return draft.document()


def _all(draft: Draft) -> set[str]:
    return {suspect["id"] for suspect in draft.suspects} | {CATCH_ALL}
