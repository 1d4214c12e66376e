"""What would change the advice: a place that is open already, or an access that takes longer than thought.

Both are found by planning again with the document changed, never guessed (fault-isolation.md section 10).
"""

from __future__ import annotations

import copy
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from diagnostics.isolation import Advice, Done, Problem, advise, believe, load
from diagnostics.isolation.wording.figures import is_tie, minutes, quoted
from diagnostics.isolation.wording.terms import Terms, terms_of

ASKS = 6  # Plans made anew at most, half of them for open places.
NEAR_MINUTES = 1.0  # A break-even is told no finer than this.
FAR_MINUTES = 45.0  # An access longer by so much is no longer a question of minutes.


def what_would_change(
    problem: Problem, history: Sequence[Done], advice: Advice, *, asks: int = ASKS
) -> tuple[str, ...]:
    """Return the sentences; empty where a candidate is advised or nothing near would change the first test.

    Parameters
    ----------
    problem, history, advice
        The advice was given on this history.
    asks : int
        How many plans may be made anew: each takes as long as the advice itself.
    """
    if advice.test is None:
        return ()
    terms = terms_of(problem.document)
    open_zones = believe(problem, history).open_zones
    told = [
        *_open_already(problem, terms, history, advice, open_zones, asks // 2),
        *_longer_access(problem, terms, history, advice, open_zones, asks - asks // 2),
    ]
    return tuple(told)


def _open_already(
    problem: Problem,
    terms: Terms,
    history: Sequence[Done],
    advice: Advice,
    open_zones: frozenset[str],
    asks: int,
) -> Iterator[str]:
    found = ""
    for zone in _promising(terms, advice, open_zones)[:asks]:
        found = _first_with(problem, terms, history, zone)
        if found not in ("", advice.test):
            break
    else:
        return
    # The less that has to be open, the nearer the case: the place around it may do.
    around = terms.zones[zone].inside
    while around and around not in open_zones:
        first = _first_with(problem, terms, history, around)
        if first in ("", advice.test):
            break
        zone, found, around = around, first, terms.zones[around].inside
    yield (
        f"This changes if {quoted(terms.zones[zone].label)} is open already: then "
        f"{quoted(terms.test(found))} comes first."
    )


def _first_with(problem: Problem, terms: Terms, history: Sequence[Done], zone: str) -> str:
    """The test that is advised where a zone is open already; empty where none is."""
    return advise(load(with_open(problem.document, terms, zone)), history).test or ""


def _promising(terms: Terms, advice: Advice, open_zones: frozenset[str]) -> list[str]:
    """Closed zones whose minutes, if saved, are more than what a test behind them is short of the first.

    The first test's own zones are left out: opening them can only speak for it.
    """
    mine = {zone.id for zone in terms.to_open(str(advice.test), open_zones)}
    slack: dict[str, float] = {}
    for ranked in advice.ranking:
        zones = [zone for zone in terms.to_open(ranked.test, open_zones) if zone.id not in mine]
        saved = sum(zone.open_minutes + zone.close_minutes for zone in zones)
        gain = saved - (ranked.expected_minutes - advice.expected_minutes)
        if zones and gain > 0:
            slack[zones[-1].id] = max(gain, slack.get(zones[-1].id, 0.0))
    return sorted(slack, key=lambda zone: (-slack[zone], zone))


def _longer_access(
    problem: Problem,
    terms: Terms,
    history: Sequence[Done],
    advice: Advice,
    open_zones: frozenset[str],
    asks: int,
) -> Iterator[str]:
    """The access beyond which another test comes first.

    The first test pays its access for certain, its rivals at most as surely: so the minutes by which it leads
    can be added without harm, and again, until nothing is left of the lead.
    """
    zones = terms.to_open(str(advice.test), open_zones)
    access = sum(zone.open_minutes for zone in zones)
    lead = _lead(terms, advice, zones[-1].id) if zones else 0.0
    if not access or not lead or is_tie(advice.expected_minutes, advice.expected_minutes + lead):
        return
    added, rival = 0.0, ""
    for _ in range(asks):
        added += lead
        if added > FAR_MINUTES:
            return
        changed = advise(load(with_longer_access(problem.document, zones[-1].id, added)), history)
        before, lead = lead, _lead(terms, changed, zones[-1].id)
        if lead < NEAR_MINUTES:
            added += lead * before / max(before - lead, before / 2)  # The rest of the way at the same slope.
            rival = next(
                (each.test for each in changed.ranking if not _needs(terms, each.test, zones[-1].id)), ""
            )
            break
    if rival:
        yield (
            f"It also changes if getting in takes more than about {minutes(access + added)} instead of "
            f"{minutes(access)}: then {quoted(terms.test(rival))}."
        )


def _lead(terms: Terms, advice: Advice, zone: str) -> float:
    """By how many minutes the tests behind a zone lead those that do not need it; 0 when they do not."""
    behind = [each.expected_minutes for each in advice.ranking if _needs(terms, each.test, zone)]
    rivals = [each.expected_minutes for each in advice.ranking if not _needs(terms, each.test, zone)]
    return max(0.0, min(rivals) - min(behind)) if behind and rivals else 0.0


def _needs(terms: Terms, test: str, zone: str) -> bool:
    return any(each.id == zone for each in terms.to_open(test, ()))


def with_open(document: Any, terms: Terms, zone: str) -> dict[str, Any]:
    """Return the document with a zone open already, and those that it lies in."""
    opened, name = set(), zone
    while name:
        opened.add(name)
        name = terms.zones[name].inside
    changed = dict(document)
    changed["zones"] = [
        {**each, "already_open": True} if each["id"] in opened else each for each in document["zones"]
    ]
    return changed


def with_longer_access(document: Any, zone: str, added: float) -> dict[str, Any]:
    """Return the document with more minutes to open a zone."""
    changed = dict(document)
    changed["zones"] = [
        {**each, "open_minutes": each["open_minutes"] + added} if each["id"] == zone else each
        for each in document["zones"]
    ]
    return changed


def with_minutes_added(document: Any, tests: Iterable[str], added: float) -> dict[str, Any]:
    """Return the document with more hands-on minutes (fewer where negative, half a minute at least)."""
    chosen = set(tests)
    changed = dict(copy.copy(document))
    changed["tests"] = [
        {**each, "minutes": max(0.5, each["minutes"] + added)} if each["id"] in chosen else each
        for each in document["tests"]
    ]
    return changed
