import json
from collections import Counter
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
import simplejson

from tests.second_opinion import generate, returns, rules
from tests.second_opinion.quantities import converted
from tests.second_opinion.record import Record

SCHEMA = json.loads(Path(__file__).with_name("job-history.schema.json").read_text(encoding="utf-8"))
OFTEN = 20

LINKS = ("attempt", "failing reading", "cause", "work", "re-read", "trials")
REASONS = {
    "index_not_eligible",
    "no_symptom_complaint",
    "unrelated",
    "outside_window",
    "planned_return",
    "declined_work",
    "outside_damage",
    "other_work",
    "exclusion_without_evidence:X1",
    "exclusion_without_evidence:X2",
    "exclusion_without_evidence:X3",
    "exclusion_without_evidence:X4",
    "distance_unknown",
    "odometer_conflict",
    "same_complaint",
    "same_work",
    "same_system",
    "possibly_related",
}


@pytest.fixture(scope="module")
def lines():
    return generate.history(seed=11, vehicles=1500)


@pytest.fixture(scope="module")
def locations(lines):
    return generate.of_kind(lines, "location")


@pytest.fixture(scope="module")
def answers(lines, locations):
    """How often each (rule, state) and each chain status is given."""
    instruments, states, chains = generate.of_kind(lines, "instrument"), Counter(), Counter()
    for orders in generate.by_vehicle(lines).values():
        sequence = returns.in_sequence(orders, locations)
        for place, order in enumerate(sequence):
            found = rules.findings(
                order, instruments, locations[order["location"]], sequence[:place], locations=locations
            )
            states.update((rule, state) for rule, _, state in found)
            symptoms = [complaint for complaint in order["complaints"] if complaint["kind"] == "symptom"]
            chains.update(rules.chain(order, found, complaint["id"]) for complaint in symptoms)
    return {"states": states, "chains": chains}


@pytest.fixture(scope="module")
def pairs(lines, locations):
    return [
        pair for orders in generate.by_vehicle(lines).values() for pair in returns.pairs(orders, locations)
    ]


@pytest.mark.parametrize("rule", rules.RULES)
def test_each_rule_gives_each_of_its_states_often(answers, rule):
    wanted = {"gap", "explained"} if rule in rules.LIVE else {"gap", "explained", "pending"}

    seen = {state for (name, state), count in answers["states"].items() if name == rule and count >= OFTEN}

    assert seen == wanted


@pytest.mark.parametrize("rule", rules.RULES)
def test_no_rule_fires_on_every_order(lines, answers, rule):
    orders = sum(line["record"] == "order" for line in lines)
    fired = sum(count for (name, _), count in answers["states"].items() if name == rule)

    assert fired < 2 * orders


def test_a_live_rule_is_never_pending(answers):
    assert not {rule for rule, state in answers["states"] if state == "pending"} & rules.LIVE


def test_the_chain_breaks_and_is_explained_at_each_link_and_is_sometimes_complete(answers):
    words = {"complete", *(f"{word} at {link}" for word in ("broken", "explained") for link in LINKS)}

    assert set(answers["chains"]) == words


@pytest.mark.parametrize(
    ("key", "values"),
    [
        ("level", {"S", "W", "Y", "P", "N"}),
        ("in_window", {"true", "false", "unknown", "conflict"}),
        ("verdict", {"not_candidate", "excluded", "needs_review", "comeback"}),
        ("exclusion", {"X1", "X2", "X3", "X4", None}),
        ("reason", REASONS),
        ("counts", {True, False}),
    ],
)
def test_each_word_of_the_answer_appears(pairs, key, values):
    assert {pair[key] for pair in pairs} == values


def test_the_edges_of_the_window_are_met(pairs):
    assert {0, 90, 91} <= {pair["days"] for pair in pairs}
    assert {6000, 6001} <= {pair["km"] for pair in pairs}


def test_a_return_counts_against_one_order_at_most(pairs):
    counted = Counter(pair["return_order"] for pair in pairs if pair["counts"])

    assert max(counted.values()) == 1


def test_lines_follow_the_schema_after_a_trip_through_json(lines):
    sample = [
        simplejson.loads(simplejson.dumps(line, use_decimal=True), use_decimal=True) for line in lines[:150]
    ]

    assert list(generate.faults(sample, SCHEMA)) == []


def test_one_seed_gives_one_history():
    assert generate.history(seed=3, vehicles=20) == generate.history(seed=3, vehicles=20)
    assert generate.history(seed=3, vehicles=20) != generate.history(seed=4, vehicles=20)


# Section 8 of the practice text, table of p -> n.
@pytest.mark.parametrize(
    ("shown", "needed"), [(9, 3), (7, 3), (5, 5), (3, 9), (2, 14), (1, 29), (0.5, 59), (10, 3), (0, 3)]
)
def test_trials_needed_follow_the_table_of_the_practice_text(shown, needed):
    attempt = {"on": "2026-02-02", "outcome": "partly", "n": 20, "k": int(2 * shown)}
    complaint = {"id": "C1", "kind": "symptom", "text": "cuts out", "attempts": [attempt]}
    record = Record({"id": "O1", "opened": "2026-02-02", "complaints": [complaint]}, {}, {})

    assert rules.trials_needed(record, complaint) == needed


# NIST SP 811 (2008), appendix B.8, from memory: 1 psi = 6.894 757 E+03 Pa; t/°C = (t/°F - 32) / 1.8.
def test_units_convert_as_published():
    assert float(converted(Fraction(1), "psi", "kPa")) == pytest.approx(6.894757, abs=5e-7)
    assert converted(Fraction(50), "°F", "°C") == 10
    assert converted(Fraction(1), "blinks", "flashes") is None


def test_orders_opened_after_the_day_asked_about_are_left_out(lines, locations):
    orders = next(found for found in generate.by_vehicle(lines).values() if len(found) == 5)

    assert len(returns.pairs(orders, locations)) == 10
    assert returns.pairs(orders, locations, as_of=date(2023, 1, 1)) == []
