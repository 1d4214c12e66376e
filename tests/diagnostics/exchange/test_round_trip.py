"""Any line that the published schema allows is read, written and read again without loss."""

import pytest
import simplejson
from django.apps import apps
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from diagnostics.exchange.faults import BadLine
from diagnostics.exchange.form import COLUMN_LENGTHS, published_schema
from diagnostics.exchange.lines import Known, read_line, write_line
from diagnostics.snapshot import Location
from tests.diagnostics.exchange.strategies import lines

KINDS = ["location", "instrument", "vehicle", "order"]
PLACES = Known({"L1": Location("L1", time_zone="Pacific/Auckland")})
SLOW_TO_DRAW = settings(max_examples=40, suppress_health_check=list(HealthCheck), deadline=None)
PUBLISHED = Draft202012Validator(published_schema())


@pytest.mark.parametrize("kind", KINDS)
@SLOW_TO_DRAW
@given(data=st.data())
def test_a_line_survives_the_round_trip(kind, data):
    record = read_line(data.draw(lines(kind)), PLACES)

    assert read_line(write_line(record), PLACES) == record


@pytest.mark.parametrize("kind", KINDS)
@SLOW_TO_DRAW
@given(data=st.data())
def test_a_canonical_line_is_its_own_canonical_line(kind, data):
    written = write_line(read_line(data.draw(lines(kind)), PLACES))

    assert write_line(read_line(written, PLACES)) == written


@pytest.mark.parametrize("kind", KINDS)
@SLOW_TO_DRAW
@given(data=st.data())
def test_a_written_line_is_valid_by_the_published_schema(kind, data):
    written = write_line(read_line(data.draw(lines(kind)), PLACES))

    assert PUBLISHED.is_valid(simplejson.loads(written, use_decimal=True))


@SLOW_TO_DRAW
@given(
    st.recursive(
        st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
        lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3),
    ),
    st.sampled_from([*KINDS, "job"]),
    st.sampled_from(["id", "vehicle", "complaints", "tests", "customer", "opened", "time_zone"]),
)
def test_any_json_is_read_or_refused_with_reasons(value, kind, key):
    line = simplejson.dumps({"record": kind, "id": "X1", key: value}, allow_nan=True)

    assert is_read_or_explained(line)


@SLOW_TO_DRAW
@given(st.binary(max_size=80))
def test_any_bytes_are_read_or_refused_with_reasons(line):
    assert is_read_or_explained(line)


def is_read_or_explained(line):
    try:
        return read_line(line) or not line.strip()
    except BadLine as refused:
        return refused.faults and all(fault.wrong and fault.allowed for fault in refused.faults)


@pytest.mark.parametrize(
    ("key", "columns"),
    {
        "accuracy_text": ["diagnostics.Instrument.accuracy_text"],
        "by": ["diagnostics.IndependentCheck.checked_by", "shop.TimeEntry.done_by"],
        "code": ["diagnostics.TestRun.code", "diagnostics.RequiredStep.code"],
        "component": [
            "shop.WorkItem.component",
            "shop.DeclinedItem.component",
            "diagnostics.Cause.component",
        ],
        "disturbed": ["shop.DisturbedComponent.component"],
        "email": ["shop.Customer.email"],
        "from": ["diagnostics.HandOff.giver"],
        "labour": ["shop.RepairOrder.labour_charge"],
        "mode": ["diagnostics.Cause.mode"],
        "name": ["shop.Location.name", "shop.Customer.name"],
        "parts": ["shop.RepairOrder.parts_charge"],
        "subject": ["diagnostics.Explanation.subject"],
        "time_zone": ["shop.Location.time_zone"],
        "to": ["diagnostics.HandOff.receiver"],
        "total": ["shop.RepairOrder.total_charge"],
    }.items(),
)
def test_a_text_is_bounded_by_the_column_that_keeps_it(key, columns):
    lengths = set()
    for column in columns:
        app, model, field = column.split(".")
        lengths.add(apps.get_model(app, model)._meta.get_field(field).max_length)

    assert lengths == {COLUMN_LENGTHS[key]}
