from __future__ import annotations

import json
from collections import Counter
from datetime import date
from pathlib import Path

import fastjsonschema

from diagnostics import catalogue, demo, exchange
from diagnostics.demo import garage
from diagnostics.demo.people import TECHNICIANS
from tests.diagnostics.demo.conftest import TODAY, moments

SCHEMA = json.loads((Path(exchange.__file__).parent / "job-history.schema.json").read_text("utf-8"))


def test_every_line_is_a_line_of_the_exchange_form(shop):
    is_line = fastjsonschema.compile(SCHEMA, use_default=False)

    for line in (shop.location, *shop.instruments, *shop.vehicles, *shop.orders):
        is_line(line)


def test_the_same_day_and_seed_give_the_same_lines(shop):
    assert list(demo.lines(TODAY)) == [shop.location, *shop.instruments, *shop.vehicles, *shop.orders]


def test_another_seed_gives_another_history(shop):
    assert demo.build(TODAY, seed=1).orders[-200:] != shop.orders[-200:]


def test_nothing_happens_on_the_given_day_or_after_it(shop):
    written = [moment for order in shop.orders for moment in moments(order)]

    assert max(written)[:10] < TODAY.isoformat()


def test_orders_are_numbered_in_order_of_opening(shop):
    opened = [order["opened"][:16] for order in shop.orders]
    numbers = [int(order["id"]) for order in shop.orders]

    assert opened == sorted(opened)
    assert numbers == list(range(numbers[0], numbers[0] + len(numbers)))


def test_the_open_story_has_the_same_number_on_every_day():
    assert demo.story_orders(date(2027, 8, 9))["battery_draw.return"] == "4057"


def test_the_shop_has_three_years_of_work(shop):
    customers = {order["customer"]["id"] for order in shop.orders}
    vehicles = {order["vehicle"] for order in shop.orders}

    assert 2300 <= len(shop.orders) <= 2700
    assert 800 <= len(vehicles) <= 950
    assert 640 <= len(customers) <= 760


def test_every_vehicle_of_an_order_has_a_line_and_every_line_an_order(shop):
    assert {vehicle["id"] for vehicle in shop.vehicles} == {order["vehicle"] for order in shop.orders}


def test_a_name_belongs_to_one_customer(shop):
    names = {(order["customer"]["id"], order["customer"]["name"]) for order in shop.orders}

    assert max(Counter(name for _, name in names).values()) == 1
    assert max(Counter(customer for customer, _ in names).values()) == 1


def test_nobody_is_blank(shop):
    assert all(order["customer"]["name"].strip() for order in shop.orders)
    assert {order["technician"] for order in shop.orders} == set(TECHNICIANS)
    assert all(test["by"] in TECHNICIANS for order in shop.orders for test in order.get("tests", []))
    assert all(item["by"] in TECHNICIANS for order in shop.orders for item in order.get("work", []))


def test_telephone_numbers_are_those_kept_free_for_fiction(shop):
    # Ofcom keeps 01632 960000 to 960999 and 07700 900000 to 900999 for drama. From memory.
    phones = {order["customer"]["phone"] for order in shop.orders}

    assert all(phone.startswith(("01632 960 ", "07700 900 ")) for phone in phones)


def test_mail_addresses_are_those_kept_free_for_examples(shop):
    # RFC 2606, sections 2 and 3. From memory.
    mails = {order["customer"]["email"] for order in shop.orders} - {None}

    assert all(mail.endswith((".example", "@example.org")) for mail in mails)


def test_required_steps_are_those_of_the_protocol_in_force(shop):
    protocols = catalogue.load().protocols
    for complaint in _complaints(shop):
        asked = protocols[complaint["symptom"]].steps if complaint["symptom"] else ()
        got = [(step["code"], step["phase"], step["critical"]) for step in complaint["required"]]

        assert got == [(step.test, step.phase, step.critical) for step in asked]


def test_every_test_is_one_of_the_catalogue_and_of_its_kind(shop):
    kinds = {code: kind.kind for code, kind in catalogue.load().tests.items()}

    assert all(
        kinds[test["code"]] == test["kind"] for order in shop.orders for test in order.get("tests", [])
    )


def test_every_named_instrument_is_on_the_list(shop):
    listed = {instrument["id"] for instrument in shop.instruments}

    named = {test.get("instrument") for order in shop.orders for test in order.get("tests", [])}

    assert named - {None} <= listed


def test_most_instruments_are_in_calibration_and_some_are_not(shop):
    overdue = [line["id"] for line in shop.instruments if (line["cal_due"] or "9999") < TODAY.isoformat()]
    withdrawn = [line["id"] for line in shop.instruments if line["withdrawn_on"]]

    assert overdue == ["clamp 2", "compression gauge 1"]
    assert withdrawn == ["meter 4"]


def test_all_25_systems_are_met(shop):
    assert {complaint["system"] for complaint in _complaints(shop) if complaint["symptom"]} == set(
        catalogue.load().systems
    )


def test_customers_hardly_say_the_same_twice(shop):
    said = [complaint["text"] for complaint in _complaints(shop) if complaint["symptom"]]

    assert len(set(said)) >= 1000
    assert max(Counter(said).values()) <= 6


def test_no_word_is_used_that_promises_too_much(shop):
    assert "fixed" not in json.dumps(shop.orders, default=str).lower()


def test_every_open_order_waits_on_somebody(shop):
    still_open = {order["id"] for order in shop.orders if order["returned"] is None}

    assert still_open == set(shop.waiting)
    assert {person for person, _ in shop.waiting.values()} == {"advisor", "technician", "parts", "customer"}
    assert all(note for _, note in shop.waiting.values())


def test_what_an_order_cites_in_its_tests_is_there(shop):
    for order in shop.orders:
        tests = {test["id"] for test in order.get("tests", [])}
        for cause in order.get("causes", []):
            assert set(cause["evidence"]) <= tests


def test_logins_sign_as_the_people_of_the_record():
    signing = {login.signs_as for login in demo.staff() if "technician" in login.roles}

    assert signing == set(TECHNICIANS)
    assert len({login.username for login in garage.STAFF}) == len(garage.STAFF)


def _complaints(shop):
    return [complaint for order in shop.orders for complaint in order["complaints"]]
