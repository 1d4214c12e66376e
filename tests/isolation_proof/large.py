"""Large problems of one shared line: hubs in a tree, each with units. One size gives one document."""

from collections.abc import Iterator
from typing import Any

from tests.isolation_proof.buses import Hub
from tests.isolation_proof.draft import CATCH_ALL, Draft

ACTS = 0.6


def tree_of_hubs(candidates: int, tests: int, seed: int = 1) -> dict[str, Any]:
    """So many candidates and tests; a third of the units have a chafed wire that acts now and then."""
    draft = Draft(f"hubs_{candidates}x{tests}", seed)
    hubs, bridges = _hubs(draft, candidates)
    draft.suspect("socket_leg", "assumption")
    everyone = {suspect["id"] for suspect in draft.suspects} | {CATCH_ALL}
    near = {"socket_leg", CATCH_ALL}
    for hub in hubs:
        hub.places(20)
        hub.unplugs(everyone)
    for place, hub in enumerate(hubs):
        kept = everyone - _below(place, hubs, bridges)
        bar = kept | ({hub.green} if place else {hub.green} | near)
        draft.probe(f"bar_{hub.letter}", "remove_bar", draft.between(1, 4), bar, zones=[hub.zone])
        look = {"miss": 0.1, "false_alarm": 0.05, "zones": [hub.zone]}
        draft.probe(f"look_{hub.letter}", "inspect", draft.between(0.5, 2), {hub.green}, **look)
    for name, bad, zone in _joins(hubs, bridges, everyone):
        if len(draft.tests) < tests:
            draft.probe(name, "jumper", draft.between(2, 5), bad, zones=[zone])
    return draft.document((240, 240))


def _hubs(draft: Draft, candidates: int) -> tuple[list[Hub], dict[int, str]]:
    """Hubs of seven to ten units and their bridges, until the candidates are used up."""
    size = 7 if candidates < 100 else 10
    hubs: list[Hub] = []
    bridges: dict[int, str] = {}
    # The socket leg and the catch-all are still to come.
    while (left := candidates - 2 - len(draft.suspects)) > 0:
        place = len(hubs)
        if place:
            bridges[place] = draft.suspect(f"bridge_{place}", "short_to_ground", activity=ACTS)
            left -= 1
        units = min(size, left - 1) if left <= size + 3 else size
        chafes = max(0, min(units, left - units - 1, size // 3))
        if left <= size + 3:
            chafes = max(0, left - units - 1)
        hubs.append(Hub(draft, f"h{place}x", units, chafes=chafes))
    for hub in hubs:
        for name in hub.chafes.values():
            next(one for one in draft.suspects if one["id"] == name)["activity"] = ACTS
    return hubs, bridges


def _below(place: int, hubs: list[Hub], bridges: dict[int, str]) -> set[str]:
    """What leaves with the bar of a hub: its own suspects, and the hubs that hang on it. Two hang on each."""
    gone = set(hubs[place].all)
    for child in (2 * place + 1, 2 * place + 2):
        if child < len(hubs):
            gone |= {bridges[child]} | _below(child, hubs, bridges)
    return gone


def _joins(hubs, bridges, everyone) -> Iterator[tuple[str, set[str], str]]:
    """Part the bridge to a hub; or take the bar out and join a run of legs back."""
    for place in bridges:
        hub = hubs[(place - 1) // 2]
        gone = _below(place, hubs, bridges) | {bridges[place]}
        yield f"part_{place}", everyone - gone, hub.zone
    for run in range(1, 12):
        for place, hub in enumerate(hubs):
            kept = everyone - _below(place, hubs, bridges) | {hub.green}
            for start in (0, 3, 5):
                legs = hub.units[start : start + run]
                if len(legs) == run and run < len(hub.units):
                    yield f"join_{hub.letter}_{start}_{run}", kept | hub.beyond(legs), hub.zone
