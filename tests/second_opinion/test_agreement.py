"""The product and the second opinion, on the same generated histories."""

import pytest
import simplejson

from diagnostics.comebacks import vehicle_pairs
from diagnostics.evidence import chain_statuses, evaluate
from diagnostics.exchange.lines import Known, read_line
from tests.second_opinion import generate, returns, rules

VEHICLES_A_SEED = 120
SEEDS = range(6)
MANY_SEEDS = range(100, 124)


def read(lines):
    """Return the lines of a history as snapshots: instruments and orders, both by id."""
    texts = [simplejson.dumps(line, use_decimal=True) for line in lines]
    locations, vehicles, instruments, orders = {}, {}, {}, {}
    kinds = {"location": locations, "vehicle": vehicles, "instrument": instruments}
    for line, text in zip(lines, texts, strict=True):
        if line["record"] != "order":
            record = read_line(text)
            kinds[line["record"]][record.id] = record
    known = Known(locations, vehicles)
    for line, text in zip(lines, texts, strict=True):
        if line["record"] == "order":
            orders[line["id"]] = read_line(text, known)
    return instruments, orders


def in_sequence(lines):
    """Yield each vehicle's orders with those that were opened before, as the second opinion sorts them."""
    locations = generate.of_kind(lines, "location")
    for orders in generate.by_vehicle(lines).values():
        sorted_orders = returns.in_sequence(orders, locations)
        for at, order in enumerate(sorted_orders):
            yield order, sorted_orders[:at], locations


def disagreements_on_rules(seed):
    lines = generate.history(seed, VEHICLES_A_SEED)
    instruments, orders = read(lines)
    raw_instruments = generate.of_kind(lines, "instrument")
    for order, earlier, locations in in_sequence(lines):
        location = locations.get(order.get("location") or "", {"record": "location", "id": ""})
        theirs = rules.findings(order, raw_instruments, location, earlier, locations=locations)
        snapshot = orders[order["id"]]
        found = evaluate(snapshot, instruments=instruments, earlier=[orders[o["id"]] for o in earlier])
        ours = {(f.rule, f.subject, f.state) for f in found}
        if set(theirs) != ours:
            yield order["id"], "only ours", ours - set(theirs), "only second", set(theirs) - ours
        for complaint, status in chain_statuses(snapshot, found).items():
            second = rules.chain(order, theirs, complaint)
            if status.words != second:
                yield order["id"], complaint, status.words, second


def disagreements_on_returns(seed):
    lines = generate.history(seed, VEHICLES_A_SEED)
    _, orders = read(lines)
    locations = generate.of_kind(lines, "location")
    for of_vehicle in generate.by_vehicle(lines).values():
        theirs = {
            (pair["index_order"], pair["return_order"]): pair for pair in returns.pairs(of_vehicle, locations)
        }
        ours = {
            (pair.index_order, pair.return_order): {
                "index_order": pair.index_order,
                "return_order": pair.return_order,
                "counts": pair.counts,
                "level": pair.level,
                "days": pair.days,
                "km": pair.km,
                "in_window": pair.in_window,
                "exclusion": pair.exclusion or None,
                "verdict": pair.verdict,
                "reason": pair.reason,
            }
            for pair in vehicle_pairs([orders[order["id"]] for order in of_vehicle])
        }
        assert theirs.keys() == ours.keys()
        for key, pair in ours.items():
            second = {
                name: theirs[key][name] or None if name == "exclusion" else theirs[key][name] for name in pair
            }
            if pair != second:
                yield key, {name: (pair[name], second[name]) for name in pair if pair[name] != second[name]}


@pytest.mark.parametrize("seed", SEEDS)
def test_both_find_the_same_gaps_and_chains(seed):
    assert list(disagreements_on_rules(seed)) == []


@pytest.mark.parametrize("seed", SEEDS)
def test_both_judge_returns_alike(seed):
    assert list(disagreements_on_returns(seed)) == []


@pytest.mark.slow
@pytest.mark.parametrize("seed", MANY_SEEDS)
def test_both_agree_on_many_more_histories(seed):
    assert list(disagreements_on_rules(seed)) == []
    assert list(disagreements_on_returns(seed)) == []
