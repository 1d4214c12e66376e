"""Each named cause has one positive reading at the part itself (fault-isolation.md 12, pitfall 5)."""

import pytest
from hypothesis import HealthCheck, given, settings

from diagnostics.catalogue import load
from diagnostics.isolation.circuit import Options, Symptom, build, confirming, template
from tests.diagnostics.isolation.circuit.circuits import problems

STARS = "hub A:\npump unit\nlamp unit\nhub B:\nrear door unit\nramp unit ?"


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(problem=problems())
def test_every_suspect_but_the_unlisted_and_the_double_has_its_reading(problem):
    kinds = load().tests

    for candidate in build(*problem).document["candidates"]:
        heard = confirming(problem[0], candidate)
        if candidate["kind"] in ("catch_all", "compound"):
            assert heard is None
        else:
            assert set(heard.says.values()) == {"pass", "fail"}
            assert (kinds[heard.code].kind == "numeric") == bool(heard.unit)
            assert 0 < len(heard.point) <= 64
            assert heard.how.endswith(".")


def _confirm(circuit, options, id):
    document = build(circuit, options).document
    return confirming(circuit, next(one for one in document["candidates"] if one["id"] == id))


@pytest.mark.parametrize(
    ("id", "code", "point"),
    [
        ("pull_pump_unit", "unit_unplugged", "pump unit unplugged"),
        ("chafe_w2", "wire_alone", "wire to the pump unit"),
        ("wet_hub_b", "place_look", "hub B"),
        ("added_hub_b", "place_look", "hub B"),
        ("socket_w1", "swap_try", "test socket and lead"),
    ],
)
def test_the_reading_is_taken_at_the_part_that_is_named(id, code, point):
    heard = _confirm(template("joined_stars", STARS), Options(symptom=Symptom(bus="dead")), id)

    assert (heard.code, heard.point) == (code, point)


@pytest.mark.parametrize(
    ("id", "code", "limit"),
    [
        ("blown_f1", "fuse_state", None),
        ("contact_f1", "connector_drop", 0.1),
        ("stuck_wiper_switch", "switch_drop", 0.3),
        ("lost_g1", "ground_drop", 0.1),
        ("dead_wiper_motor", "load_direct", None),
    ],
)
def test_a_contact_is_shown_by_the_drop_over_it_with_the_limit_of_the_catalogue(id, code, limit):
    heard = _confirm(template("feed_chain", "F1\nwiper switch\nwiper motor\nG1"), Options(), id)

    assert (heard.code, heard.hi) == (code, limit)


def test_a_missing_end_resistor_is_measured_by_itself():
    circuit = template("two_wire", "a unit\nb unit")
    id = f"missing_{circuit.of_kind('end_resistor')[0].id}"
    heard = _confirm(circuit, Options(symptom=Symptom(bus="noisy")), id)

    assert (heard.code, heard.lo, heard.hi) == ("end_resistor_alone", 100, 140)
