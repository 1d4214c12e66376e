"""From a map and a confirmed symptom to a complete isolation problem."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import isfinite

from diagnostics.isolation.circuit.built import Built, Component, LeftOut, Listens, Options
from diagnostics.isolation.circuit.checking import CircuitError, Wrong, insist
from diagnostics.isolation.circuit.document import candidate_as_dict, catch_all_as_dict, document_of
from diagnostics.isolation.circuit.likelihoods import Table, folded, grouped, read_all, without_empty
from diagnostics.isolation.circuit.orienting import oriented
from diagnostics.isolation.circuit.pairs import pairs_of, share_of_pairs
from diagnostics.isolation.circuit.physics import Network
from diagnostics.isolation.circuit.places import Circuit
from diagnostics.isolation.circuit.planned import Planned, bench_of, tests_of
from diagnostics.isolation.circuit.suspects import Suspect, suspects_of

OTHER = "other"
LEAST_REST = 0.05  # What the suspects without a history keep together, however much history the others have.
LOWEST_CATCH_ALL, HIGHEST_CATCH_ALL = 0.005, 0.5
HIGHEST_ERROR = 0.2


def build(circuit: Circuit, options: Options | None = None) -> Built:
    """Return the isolation problem of a map: suspects, tests with simulated likelihoods, and how to listen.

    Parameters
    ----------
    circuit : Circuit
        The map, in any drawing order; wires are turned away from the test socket or the source.
    options : Options, optional
        Symptom, history, what the shop knows better.

    Returns
    -------
    Built
        The document (format isolation-problem/1) with its components and listens, everything left out with
        the reason, and the pairs that no test here separates.

    Raises
    ------
    CircuitError
        Where the map, the symptom or an option cannot be used; `faults` says what to do about each.
    """
    asked = options or Options()
    insist(circuit)
    _refuse_options(asked)
    drawn = oriented(circuit)
    network = Network(drawn)
    suspects, left = suspects_of(drawn, network, asked)
    if not suspects:
        message = "Nothing on this map explains the symptom. Check the symptom, or draw what is missing."
        raise CircuitError([Wrong("", message)])
    bench = bench_of(drawn, network, asked)
    tests, not_offered = tests_of(bench)
    table, unread = without_empty(read_all(suspects, tests))
    if not table.tests:
        message = "No test on this map tells its suspects apart. Draw more places, or offer more tests."
        raise CircuitError([Wrong("", message)])
    table, pair_left = _with_pairs(network, folded(table), asked, tests)
    table, alike, merged = grouped(table)
    priors = priors_of(table.suspects, asked)
    return Built(
        document=document_of(drawn, asked, table, priors, _candidates(table.suspects, priors, asked)),
        components=_components(table.suspects),
        listens={test.id: _listens(test) for test in table.tests},
        left_out=(*left, *not_offered, *unread, *pair_left, *merged),
        alike=tuple(alike),
    )


def _refuse_options(options: Options) -> None:
    faults: list[Wrong] = []
    limits = (
        ("The share of 'none of these'", options.catch_all, LOWEST_CATCH_ALL, HIGHEST_CATCH_ALL),
        ("The chance of a misread reading", options.error, 0.0, HIGHEST_ERROR),
        ("The chance that it is acting", options.activity, 0.01, 1.0),
        ("The price of a wrong call in minutes", options.wrong_minutes, 1.0, 100_000.0),
        ("The minutes to fall asleep", options.sleep_minutes, 0.0, 1440.0),
    )
    for words, value, low, high in limits:
        if not isfinite(value) or not low <= value <= high:
            faults.append(Wrong("", f"{words} is {value:g}. Give {low:g} to {high:g}."))
    for id, share in options.priors.items():
        if not isfinite(share) or not 0 <= share <= 1:
            faults.append(Wrong(id, f"The prior of '{id}' is {share:g}. Give 0 to 1."))
    for id, override in options.tests.items():
        minutes = override.minutes
        if minutes is not None and not (isfinite(minutes) and 0 < minutes <= 1440):
            faults.append(
                Wrong(id, f"The test '{id}' has {minutes:g} minutes. Give more than 0, at most 1440.")
            )
    if faults:
        raise CircuitError(faults)


def _with_pairs(
    network: Network, table: Table, options: Options, tests: Sequence[Planned]
) -> tuple[Table, list[LeftOut]]:
    """Add compounds; a pair that a test newly tells apart brings that test back."""
    pairs = pairs_of(network, table.suspects, options, priors_of(table.suspects, options))
    if not pairs:
        return table, []
    return without_empty(read_all([*table.suspects, *pairs], tests))


def priors_of(suspects: Sequence[Suspect], options: Options) -> dict[str, float]:
    """Return the prior of each suspect; with the catch-all they sum to 1.

    Given priors are shares of the whole; what they leave goes to the others by weight, at least `LEAST_REST`.
    Pairs of faults have `share_of_pairs` together.
    """
    whole = 1 - options.catch_all
    pairs = {one.id: one.weight for one in suspects if one.members}
    singles = {one.id: one.weight for one in suspects if not one.members}
    given = {id: options.priors[id] for id in singles if id in options.priors}
    others = {id: weight for id, weight in singles.items() if id not in given}
    for_singles = whole * (1 - share_of_pairs(suspects)) if pairs else whole
    most = for_singles * (1 - LEAST_REST) if others else for_singles
    wanted = sum(given.values())
    taken = min(wanted, most) if others else most
    is_told = wanted > 0 or not others
    priors = _shared(given, taken) if is_told else dict.fromkeys(given, 0.0)
    priors |= _shared(others, for_singles - (taken if is_told else 0.0))
    priors |= _shared(pairs, whole - for_singles)
    return {one.id: priors[one.id] for one in suspects}


def _shared(weights: Mapping[str, float], amount: float) -> dict[str, float]:
    total = sum(weights.values())
    if total <= 0:
        return {id: amount / len(weights) for id in weights}
    return {id: amount * weight / total for id, weight in weights.items()}


def _candidates(
    suspects: Sequence[Suspect], priors: Mapping[str, float], options: Options
) -> list[dict[str, object]]:
    made = [candidate_as_dict(one, priors[one.id], options) for one in suspects]
    return [*made, catch_all_as_dict(OTHER, options)]


def _components(suspects: Sequence[Suspect]) -> dict[str, Component]:
    known = {one.id: one.component for one in suspects}
    return known | {OTHER: Component("", "not on the map")}


def _listens(test: Planned) -> Listens:
    return Listens(
        code=test.code,
        point=test.point,
        unit=test.unit,
        lo=test.lo,
        hi=test.hi,
        says={outcome.id: outcome.says for outcome in test.outcomes},
        observation={outcome.id: outcome.observation for outcome in test.outcomes},
        label=test.label,
    )
