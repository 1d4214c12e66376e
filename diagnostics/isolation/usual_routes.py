"""The routes that people take without a plan, made from a problem, to be set beside the plan."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from diagnostics.isolation import Done, Problem, believe
from diagnostics.isolation.wording.readings import Reading, readings
from diagnostics.isolation.wording.terms import Terms, terms_of

EASY_FIRST = "easiest first"
ONE_BY_ONE = "one by one, the likeliest for its minutes first"
HUB_KINDS = ("remove_bar", "jumper")  # Tests that split a hub.
NAMES_ONE = 0.5  # A reading that leaves one suspect with this much examines that one.


def usual_routes(problem: Problem, history: Sequence[Done] = ()) -> dict[str, tuple[str, ...]]:
    """Return the usual routes by name; one that the problem does not offer is left out.

    "Easiest first" is everything but the hubs, by the price now, a place once open being free for the next.
    "One by one" checks single suspects by chance over price (fault-isolation.md section 4, index rules). A
    hub route for each place with a bar to take out, the widest split first.
    """
    terms = terms_of(problem.document)
    belief = believe(problem, history)
    if belief.is_impossible:
        return {}
    done = {entry.test for entry in history}
    telling = [
        name for name in terms.tests if name not in done and len(readings(terms, belief.posterior, name)) > 1
    ]
    if not telling:
        return {}
    hubs = _hubs(terms, telling)
    easy = [name for name in telling if _place(terms, name) not in hubs]
    checks = _by_ratio(terms, easy, belief.posterior, belief.open_zones)
    routes = {EASY_FIRST: easiest_first(terms, easy, belief.open_zones)} if easy else {}
    if len(checks) > 1:
        routes[ONE_BY_ONE] = checks
    for zone, tests in hubs.items():
        place = terms.zones[zone].label if zone in terms.zones else "the hub"
        routes[f"first to: {place}"] = tuple(
            sorted(tests, key=lambda name: (_evenness(terms, belief.posterior, name), name))
        )
    return routes


def easiest_first(terms: Terms, tests: Iterable[str], open_zones: Iterable[str]) -> tuple[str, ...]:
    """Return the tests by their price, worked out anew after each: what opens a place makes others cheap."""
    left, opened, order = list(tests), set(open_zones), list[str]()
    while left:
        test = min(left, key=lambda name: (terms.price(name, opened), name))
        left.remove(test)
        opened |= {zone.id for zone in terms.to_open(test, opened)}
        order.append(test)
    return tuple(order)


def _by_ratio(
    terms: Terms, tests: Iterable[str], posterior: Mapping[str, float], open_zones: Iterable[str]
) -> tuple[str, ...]:
    """The tests that examine one suspect, by the chance that it is the one over what the look costs."""
    zones = frozenset(open_zones)
    ratios = {}
    for name in tests:
        hit = min(readings(terms, posterior, name), key=lambda each: each.chance)
        if max(hit.posterior.values()) >= NAMES_ONE:
            ratios[name] = hit.chance / terms.price(name, zones)
    return tuple(sorted(ratios, key=lambda name: (-ratios[name], name)))


def _hubs(terms: Terms, tests: Iterable[str]) -> dict[str, list[str]]:
    """Tests that split a hub, by the innermost place to open for them."""
    found: dict[str, list[str]] = {}
    for name in tests:
        if terms.tests[name].kind in HUB_KINDS:
            found.setdefault(_place(terms, name), []).append(name)
    return found


def _place(terms: Terms, test: str) -> str:
    """The innermost place to open for a test; empty where there is none."""
    zones = terms.to_open(test, ())
    return zones[-1].id if zones else ""


def _evenness(terms: Terms, posterior: Mapping[str, float], test: str) -> float:
    """The chance of the likeliest reading: the lower, the wider the split."""
    found: tuple[Reading, ...] = readings(terms, posterior, test)
    return max(each.chance for each in found)
