from __future__ import annotations

from datetime import date

from diagnostics.comebacks import pairs_by_vehicle, rate
from diagnostics.evidence import evaluate
from tests.diagnostics.demo.conftest import TODAY


def test_the_comeback_rate_is_a_plausible_one(read_shop):
    orders = list(read_shop[1].values())

    found = rate(list(pairs_by_vehicle(orders, as_of=TODAY)), orders, as_of=TODAY).all_orders

    assert 0.055 <= found.provisional.count / found.provisional.of <= 0.09


def test_a_skipped_critical_step_goes_with_more_comebacks(read_shop):
    instruments, orders = read_shop
    pairs = pairs_by_vehicle(orders.values(), as_of=TODAY)
    came_back = {pair.index_order for pair in pairs if pair.counts and pair.verdict == "comeback"}
    shares = {True: [], False: []}
    for order in orders.values():
        if order.visit == "symptom" and order.outcome == "repaired":
            shares[_skipped_a_critical_step(order, instruments)].append(order.id in came_back)

    assert len(shares[True]) >= 100
    assert _share(shares[True]) > 1.3 * _share(shares[False])


def test_every_kind_of_gap_occurs(read_shop):
    instruments, orders = read_shop
    by_vehicle: dict[str, list] = {}
    for order in orders.values():
        by_vehicle.setdefault(order.vehicle.id, []).append(order)

    met = {
        finding.rule
        for order in orders.values()
        for finding in evaluate(order, instruments=instruments, earlier=by_vehicle[order.vehicle.id])
    }

    assert {f"R{number}" for number in range(1, 27)} - met <= {"R10", "R16"}


def test_winter_brings_batteries_and_summer_brings_air_conditioning(shop):
    def months(system):
        return [
            date.fromisoformat(order["opened"][:10]).month
            for order in shop.orders
            if order["complaints"][0]["system"] == system
        ]

    cold = [month in (11, 12, 1, 2) for month in months("battery")]
    warm = [month in (6, 7, 8) for month in months("hvac")]

    assert _share(cold) > 4 / 12
    assert _share(warm) > 3 / 12


def test_a_few_odometers_are_missing_and_a_few_fall(read_shop):
    orders = list(read_shop[1].values())
    last: dict[str, object] = {}
    falls = 0
    for order in orders:
        earlier = last.get(order.vehicle.id)
        falls += bool(earlier and order.odo_in and order.odo_in < earlier)
        last[order.vehicle.id] = order.odo_out or earlier

    assert 5 <= sum(order.odo_in is None for order in orders) <= 60
    assert 2 <= falls <= 40


def test_some_returns_were_agreed_before_the_key_went_back(shop):
    agreed = {entry["id"]: entry for order in shop.orders for entry in order.get("planned_return", [])}
    answered = [order["planned_ref"] for order in shop.orders if order.get("planned_ref")]

    assert len(answered) >= 20
    assert set(answered) <= set(agreed)


def test_outside_damage_and_other_hands_are_recorded_on_some_returns(shop):
    kinds = {event["kind"] for order in shop.orders for event in order.get("outside_events", [])}

    assert kinds == {"damage", "other_work"}


def test_a_diesel_has_no_spark_to_miss(shop):
    diesels = {vehicle["id"] for vehicle in shop.vehicles if "diesel" in vehicle["engine"]}

    assert not [
        order["id"]
        for order in shop.orders
        if order["vehicle"] in diesels and order["complaints"][0]["system"] == "ignition"
    ]


def _skipped_a_critical_step(order, instruments):
    critical = {
        step.code
        for complaint in order.complaints
        for step in complaint.required
        if step.critical and step.phase == "before"
    }
    found = evaluate(order, instruments=instruments)
    return any(f.rule == "R4" and f.state == "gap" and f.subject.partition(":")[2] in critical for f in found)


def _share(answers):
    return sum(answers) / len(answers)
