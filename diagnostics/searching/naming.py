"""What follows from the readings of a search when a suspect is named as the cause.

practice.md section 5: the cause cites the failing readings that isolated it (R12), every other suspect the
readings that rule it out (R13), and each failing reading that the cause does not cite says where it led (R9).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from diagnostics.isolation.wording.figures import still_suspected
from diagnostics.isolation.wording.terms import CATCH_ALL, Terms
from diagnostics.judging import outcome as outcome_of
from diagnostics.searching.hearing import Heard
from diagnostics.snapshot import Test

FITS = 0.5  # A reading that the cause makes at least this likely speaks for it.
CLEARS = 0.5  # A reading that another suspect makes less than so many times as likely as the cause clears it.


@dataclass(frozen=True)
class Named:
    """What follows when a suspect is named as the cause.

    `evidence`: failing readings that isolated it. `cleared`: component to the readings that rule it out.
    `standing`: components that no reading rules out. `noted`: reading to what it led to.
    """

    component: str
    mode: str = ""
    statement: str = ""
    evidence: Sequence[str] = ()
    cleared: Mapping[str, Sequence[str]] = field(default_factory=dict)
    standing: Sequence[str] = ()
    noted: Mapping[str, str] = field(default_factory=dict)


def named(
    candidate: str,
    *,
    pair: str = "",
    members: Sequence[str] = (),
    complaint: str,
    terms: Terms,
    components: Mapping[str, Mapping[str, str]],
    posterior: Mapping[str, float],
    heard: Sequence[Heard],
    tests: Iterable[Test],
    symptom: Sequence[str] = (),
    ref: str = "",
) -> Named:
    """Return what is written down when `candidate` is named.

    Parameters
    ----------
    candidate : str
        The suspect; `components` names its component and failure mode.
    posterior : mapping
        Belief after the readings.
    heard, tests
        The readings as the search hears them, and as they stand on the order. A failing test before the
        repair that isolates the component is cited, heard or not: the confirmation is one of these.
    pair, members : str, suspects
        Where two faults at once are named: the pair by which the others are judged, and what it is made of.
    symptom : test ids
        Readings that show the confirmed symptom; those that failed are cited.
    """
    component = components[candidate]["component"]
    whole, ours = pair or candidate, tuple(members) or (candidate,)
    failing = [
        test
        for test in tests
        if test.phase == "before" and test.complaint == complaint and outcome_of(test) == "fail"
    ]
    fits = {one.run for one in heard if one.counts and _share(terms, one, candidate) >= FITS}
    isolating = {test.id for test in failing if test.isolates.strip() == component.strip()}
    cited = isolating | fits | set(symptom)
    evidence = [test.id for test in failing if test.id in cited]
    return Named(
        component=component,
        mode=components[candidate].get("mode", ""),
        statement=_statement(terms, heard, evidence),
        evidence=evidence if isolating else (),
        cleared=_cleared(whole, ours, terms, components, posterior, heard),
        standing=_standing(ours, terms, components, posterior),
        noted=_noted(terms, heard, {test.id for test in failing} - set(evidence), ref),
    )


def clearing(terms: Terms, heard: Iterable[Heard], suspect: str, against: str) -> list[str]:
    """Return the readings that a suspect makes so much less likely than `against` does that they clear it."""
    return [
        one.run
        for one in heard
        if one.counts and _share(terms, one, suspect) < CLEARS * _share(terms, one, against)
    ]


def _share(terms: Terms, one: Heard, candidate: str) -> float:
    """P(reading | candidate)."""
    test = terms.tests[one.test]
    return test.likelihood(terms.candidates[candidate])[test.position[one.outcome]]


def _rivals(
    ours: Sequence[str], terms: Terms, components: Mapping[str, Mapping[str, str]]
) -> dict[str, list[str]]:
    """Suspects that lead to another repair, by component; the members of a pair are no rivals of it."""
    found: dict[str, list[str]] = {}
    groups = {terms.candidates[name].group for name in ours}
    mine = {components[name]["component"].strip() for name in ours}
    for each in terms.candidates.values():
        component = components.get(each.id, {}).get("component", "").strip()
        is_rival = each.group not in groups and each.kind not in (CATCH_ALL, "compound")
        if is_rival and component and component not in mine:
            found.setdefault(component, []).append(each.id)
    return found


def _cleared(
    whole: str,
    ours: Sequence[str],
    terms: Terms,
    components: Mapping[str, Mapping[str, str]],
    posterior: Mapping[str, float],
    heard: Sequence[Heard],
) -> dict[str, list[str]]:
    """Component to the readings that rule it out. One that no reading speaks against is not written down."""
    still = set(still_suspected(posterior))
    cleared = {}
    for component, suspects in _rivals(ours, terms, components).items():
        readings = [clearing(terms, heard, suspect, whole) for suspect in suspects]
        if all(readings) and still.isdisjoint(suspects):
            by_any = {run for runs in readings for run in runs}
            cleared[component] = [one.run for one in heard if one.run in by_any]
    return cleared


def _standing(
    ours: Sequence[str],
    terms: Terms,
    components: Mapping[str, Mapping[str, str]],
    posterior: Mapping[str, float],
) -> list[str]:
    still = set(still_suspected(posterior))
    rivals = _rivals(ours, terms, components)
    return [component for component, suspects in rivals.items() if not still.isdisjoint(suspects)]


def _noted(terms: Terms, heard: Sequence[Heard], left: set[str], ref: str) -> dict[str, str]:
    """Where each failing reading led that the cause does not cite: to the reading after it."""
    search = f"Followed up in the search {ref}".rstrip()
    noted = {}
    for place, one in enumerate(heard):
        if one.run in left:
            after = next((later for later in heard[place + 1 :]), None)
            led = f"it led to “{terms.test(after.test)}”" if after else "it was the last reading"
            noted[one.run] = f"{search}: {led}."
    return noted


def _statement(terms: Terms, heard: Sequence[Heard], evidence: Sequence[str]) -> str:
    """How we know, in a sentence: the readings that isolated it."""
    told = [
        f"{terms.test(one.test)}: {terms.tests[one.test].outcome(one.outcome).label}"
        for one in heard
        if one.counts and one.run in evidence
    ]
    return f"{'; '.join(told)}." if told else ""
