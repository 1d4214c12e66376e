"""The exchange form is checked against its published schema; JSON against RFC 8259 (from memory)."""

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
import simplejson

from diagnostics.exchange.decoding import MAX_LINE_BYTES
from diagnostics.exchange.faults import BadLine
from diagnostics.exchange.lines import NOTHING_KNOWN, Known, read_line, write_line
from diagnostics.snapshot import Charges, Customer, HandOff, Instrument, Location, Order, Part, Vehicle
from shared.moments import Moment

DUBLIN = Location("L1", time_zone="Europe/Dublin")


def order_line(**given):
    return simplejson.dumps(
        {"record": "order", "id": "R1", "vehicle": "V1", "opened": "2026-03-02", "complaints": [], **given}
    )


def reading(**given):
    return {"id": "T1", "code": "x", "phase": "before", "kind": "numeric", "on": "2026-03-02", **given}


def complaint(**given):
    return {"id": "C1", "kind": "symptom", "text": "No start.", **given}


def faults_of(line, known=NOTHING_KNOWN):
    with pytest.raises(BadLine) as refused:
        read_line(line, known)
    return [str(fault) for fault in refused.value.faults]


DATES = "a date YYYY-MM-DD, or a date-time YYYY-MM-DDTHH:MM with or without an offset such as +01:00"

# What is read


def test_the_least_order_has_the_defaults_of_the_form():
    order = read_line(order_line())

    assert order == Order("R1", Vehicle("V1"), Moment(date(2026, 3, 2)))


def test_a_location_line_has_the_defaults_of_the_form():
    assert read_line('{"record":"location","id":"L1"}') == Location("L1", "", "UTC", False, 90, Decimal(6000))


def test_an_instrument_line_is_read():
    line = '{"record":"instrument","id":"M1","kind":"meter","cal_due":"2026-12-31","accuracy":0.010}'

    assert read_line(line) == Instrument("M1", "meter", True, date(2026, 12, 31), None, Decimal("0.010"))


def test_a_vehicle_line_knows_when_the_vehicle_left():
    line = '{"record":"vehicle","id":"V1","year":2015,"left_on":"2026-01-05"}'

    assert read_line(line) == Vehicle("V1", year=2015, left_on=date(2026, 1, 5))


def test_a_calendar_date_of_an_instrument_is_the_one_written():
    line = '{"record":"instrument","id":"M1","kind":"meter","cal_due":"2026-12-31T23:30-05:00"}'

    assert read_line(line).cal_due == date(2026, 12, 31)


def test_null_is_the_same_as_absent():
    line = order_line(technician=None, returned=None, customer=None, odo_in=None, charges=None)

    assert read_line(line) == read_line(order_line())


def test_a_list_of_a_hand_off_that_is_empty_differs_from_one_never_written():
    handoff = {"complaint": "C1", "from": "Ada", "to": "Bo", "on": "2026-03-02", "ruled_out": []}

    order = read_line(order_line(handoffs=[handoff]))

    assert order.handoffs == (
        HandOff("C1", "Ada", "Bo", Moment(date(2026, 3, 2)), ruled_out=(), suspected=None),
    )


def test_text_of_spaces_stays_as_written():
    assert read_line(order_line(technician="   ")).technician == "   "


def test_a_decimal_keeps_the_digits_it_was_written_with():
    line = order_line(tests=[]).replace('"tests": []', f'"tests": [{simplejson.dumps(reading(value=0))}]')

    order = read_line(line.replace('"value": 0', '"value": 12.30'))

    assert str(order.tests[0].value) == "12.30"


def test_a_whole_number_in_a_number_field_becomes_a_decimal():
    value = read_line(order_line(tests=[reading(value=12)])).tests[0].value

    assert isinstance(value, Decimal)


def test_three_point_nought_is_a_whole_number():
    # JSON Schema 2020-12, section 4.2.3: any number with a zero fraction is an integer. From memory.
    attempt = {"on": "2026-03-02", "outcome": "partly", "n": 3.0}
    order = read_line(order_line(complaints=[complaint(attempts=[attempt])]))

    assert (order.complaints[0].attempts[0].n, type(order.complaints[0].attempts[0].n)) == (3, int)


def test_a_date_time_falls_on_the_calendar_of_the_location():
    order = read_line(order_line(location="L1", opened="2026-06-30T23:30Z"), Known({"L1": DUBLIN}))

    assert order.opened == Moment(date(2026, 7, 1), datetime(2026, 6, 30, 23, 30, tzinfo=UTC))


def test_a_date_time_without_offset_is_local_time_of_the_location():
    order = read_line(order_line(location="L1", opened="2026-07-01T00:30"), Known({"L1": DUBLIN}))

    assert order.opened == Moment(date(2026, 7, 1), datetime(2026, 6, 30, 23, 30, tzinfo=UTC))


def test_a_location_never_heard_of_has_the_defaults():
    assert read_line(order_line(location="L9")).location == Location("L9")


def test_a_vehicle_id_takes_what_is_known_of_the_vehicle():
    known = Known(vehicles={"V1": Vehicle("V1", plate="QR 1", left_on=date(2026, 5, 1))})

    assert read_line(order_line(vehicle="V1"), known).vehicle == known.vehicles["V1"]


def test_a_described_vehicle_adds_to_what_is_known():
    known = Known(vehicles={"V1": Vehicle("V1", plate="QR 1", make="Tolmer")})

    vehicle = read_line(order_line(vehicle={"id": "V1", "make": "Ostrey"}), known).vehicle

    assert vehicle == Vehicle("V1", plate="QR 1", make="Ostrey")


def test_a_citation_that_names_nothing_is_kept():
    order = read_line(order_line(tests=[reading(complaint="C9", instrument="M9")]))

    assert (order.tests[0].complaint, order.tests[0].instrument) == ("C9", "M9")


def test_an_order_may_be_returned_before_it_was_opened():
    assert read_line(order_line(returned="2026-03-01")).returned == Moment(date(2026, 3, 1))


@pytest.mark.parametrize("blank", ["", "  \t", "\r\n", "\ufeff", b"", b"\xef\xbb\xbf\r\n"])
def test_a_blank_line_is_skipped(blank):
    assert read_line(blank) is None


@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_the_line_end_does_not_matter(end):
    assert read_line(order_line() + end) == read_line(order_line())


def test_a_byte_order_mark_at_the_start_is_skipped():
    assert read_line(b"\xef\xbb\xbf" + order_line().encode()) == read_line(order_line())


def test_an_escaped_letter_is_no_reason_to_refuse():
    assert read_line(order_line(technician="Zoë \U0001f527")).technician == "Zoë \U0001f527"


# What is written


def test_keys_stand_in_the_order_of_the_form_and_defaults_are_left_out():
    line = order_line(visit="symptom", complaints=[{"text": "No start.", "kind": "symptom", "id": "C1"}])

    assert write_line(read_line(line)) == (
        '{"record":"order","id":"R1","vehicle":"V1","opened":"2026-03-02",'
        '"complaints":[{"id":"C1","kind":"symptom","text":"No start."}]}'
    )


def test_a_date_time_is_written_in_the_zone_of_the_location():
    order = read_line(order_line(location="L1", opened="2026-06-30T23:30Z"), Known({"L1": DUBLIN}))

    assert '"opened":"2026-07-01T00:30:00+01:00"' in write_line(order)


def test_a_time_before_zones_had_whole_minutes_is_written_in_utc():
    order = read_line(order_line(location="L1", opened="1850-01-01T12:00"), Known({"L1": DUBLIN}))

    assert '"opened":"1850-01-01T12:25:21+00:00"' in write_line(order)


def test_a_decimal_is_written_with_the_digits_it_came_with():
    instrument = Instrument("M1", "meter", accuracy=Decimal("0.010"))

    assert write_line(instrument) == '{"record":"instrument","id":"M1","kind":"meter","accuracy":0.010}'


def test_a_described_vehicle_is_written_in_full():
    order = Order("R1", Vehicle("V1", plate="QR 1"), Moment(date(2026, 3, 2)))

    assert '"vehicle":{"id":"V1","plate":"QR 1"}' in write_line(order)


def test_a_vehicle_with_a_line_of_its_own_is_written_by_id():
    order = Order("R1", Vehicle("V1", plate="QR 1"), Moment(date(2026, 3, 2)))

    assert '"vehicle":"V1"' in write_line(order, vehicle_by_id=True)


def test_a_hand_off_is_written_with_from_and_to():
    handoff = HandOff("C1", "Ada", "Bo", Moment(date(2026, 3, 2)), ruled_out=())
    order = Order("R1", Vehicle("V1"), Moment(date(2026, 3, 2)), handoffs=(handoff,))

    assert '"from":"Ada","to":"Bo","on":"2026-03-02","ruled_out":[]}' in write_line(order)


def test_an_empty_part_and_empty_charges_are_not_lost():
    work = {"id": "W1", "kind": "clean", "component": "filter", "reason": "maintenance", "on": "2026-03-02"}
    order = read_line(order_line(work=[work | {"part": {}}], charges={}))

    assert (order.work[0].part, order.charges) == (Part(), Charges())
    assert read_line(write_line(order)) == order


def test_text_beyond_ascii_is_written_as_it_is():
    order = Order("R1", Vehicle("V1"), Moment(date(2026, 3, 2)), customer=Customer("K1", "Jörg"))

    assert "Jörg" in write_line(order)


# What is refused, each with its text

REFUSED = {
    "not JSON": (
        '{"record":',
        "the line: is not JSON from character 11 on, near the end of the line. Allowed: one JSON object.",
    ),
    "trailing text": (
        "{} x",
        'the line: is not JSON from character 4 on, near "x". Allowed: one JSON object.',
    ),
    "a control character": (
        '{"record":"order\x01"}',
        r'the line: is not JSON from character 17 on, near "\u0001\"}". Allowed: one JSON object.',
    ),
    "not an object": ("[1]", "the line: is not an object. Allowed: one JSON object on a line."),
    "no record": ("{}", "record: is missing. Allowed: location, instrument, vehicle or order."),
    "unknown record": (
        '{"record":"job"}',
        'record: "job" is not a kind of record. Allowed: location, instrument, vehicle or order.',
    ),
    "a record that is a list": (
        '{"record":["order"]}',
        'record: ["order"] is not a kind of record. Allowed: location, instrument, vehicle or order.',
    ),
    "a missing key": (
        '{"record":"instrument","id":"M1"}',
        "kind: is missing. Allowed: text of at most 150 characters.",
    ),
    "an unknown key": (
        '{"record":"location","id":"L1","colour":"grey"}',
        "colour: is not a known key. Allowed: the keys record, id, name, time_zone, single_person, "
        "window_days, window_km.",
    ),
    "a misspelt key": (
        '{"record":"location","id":"L1","nmae":"UTC"}',
        "nmae: is not a known key; the nearest is name. Allowed: the keys record, id, name, time_zone, "
        "single_person, window_days, window_km.",
    ),
    "a wrong type": (
        order_line(since_repair="yes"),
        'since_repair: "yes" is text. Allowed: true or false.',
    ),
    "a number as text": (order_line(odo_in="81000"), 'odo_in: "81000" is text. Allowed: a number or null.'),
    "null where it is not allowed": (
        order_line(complaints=None),
        "complaints: null is not allowed here. Allowed: a list.",
    ),
    "a list for an object": (
        order_line(customer=[]),
        "customer: [] is a list. Allowed: null or an object with id.",
    ),
    "a number for a vehicle": (
        order_line(vehicle=7),
        "vehicle: 7 is a number. Allowed: text of 1 to 64 characters or an object with id.",
    ),
    "an unknown choice": (
        order_line(outcome="fixed"),
        'outcome: "fixed" is not one of the choices. Allowed: repaired, no_fault_found, monitor, '
        "declined_all or null.",
    ),
    "an empty id": (order_line(id=""), "id: is empty. Allowed: text of 1 to 64 characters, not only spaces."),
    "a blank id": (
        order_line(id="  "),
        'id: "  " is blank. Allowed: text of 1 to 64 characters, not only spaces.',
    ),
    "a long id": (
        order_line(id="x" * 65),
        f'id: "{"x" * 60}…" has 65 characters. Allowed: text of 1 to 64 characters, not only spaces.',
    ),
    "a long reference": (
        order_line(technician="x" * 65),
        f'technician: "{"x" * 60}…" has 65 characters. Allowed: text of at most 64 characters or null.',
    ),
    "a complaint without words": (
        order_line(complaints=[complaint(text="")]),
        "complaints[0].text: is empty. Allowed: text of 1 or more characters.",
    ),
    "a date in another form": (
        order_line(opened="02/03/2026"),
        f'opened: "02/03/2026" is not written as a date. Allowed: {DATES}.',
    ),
    "a date in other digits": (
        order_line(opened="２０２６-03-02"),
        f'opened: "２０２６-03-02" is not written as a date. Allowed: {DATES}.',
    ),
    "a date with a line end": (
        order_line(opened="2026-03-02\n"),
        rf'opened: "2026-03-02\n" is not written as a date. Allowed: {DATES}.',
    ),
    "a day that does not exist": (
        order_line(tests=[reading(on="2026-02-30")]),
        f'tests[0].on: "2026-02-30" names a day or a time that does not exist. Allowed: {DATES}.',
    ),
    "an hour that does not exist": (
        order_line(opened="2026-03-02T25:00"),
        f'opened: "2026-03-02T25:00" names a day or a time that does not exist. Allowed: {DATES}.',
    ),
    "a year beyond the calendar": (
        order_line(returned="9999-12-31T23:59-12:00"),
        f'returned: "9999-12-31T23:59-12:00" names a day or a time that does not exist. Allowed: {DATES}.',
    ),
    "an unknown time zone": (
        '{"record":"location","id":"L1","time_zone":"Mars/Base"}',
        'time_zone: "Mars/Base" is not a known time zone. Allowed: a zone of the IANA table, such as '
        "Europe/Dublin.",
    ),
    "half a number": (
        order_line(authorisations=[{"minutes": 2.5, "on": "2026-03-02"}]),
        "authorisations[0].minutes: 2.5 is not a whole number. Allowed: a whole number from 0.",
    ),
    "a number that is too small": (
        order_line(authorisations=[{"minutes": -1, "on": "2026-03-02"}]),
        "authorisations[0].minutes: -1 is too small. Allowed: 0 to 2147483647.",
    ),
    "a grade that is too large": (
        order_line(complaints=[complaint(difficulty=4)]),
        "complaints[0].difficulty: 4 is too large. Allowed: 1 to 3.",
    ),
    "a negative window": (
        '{"record":"location","id":"L1","window_km":-0.5}',
        "window_km: -0.5 is too small. Allowed: 0 or more.",
    ),
    "a whole number no column keeps": (
        order_line(charges={"unbilled_minutes": 2**31}),
        "charges.unbilled_minutes: 2147483648 is too large. Allowed: -2147483648 to 2147483647.",
    ),
    "an unknown rule": (
        order_line(explanations=[{"rule": "R27", "subject": "", "reason": "", "by": ""}]),
        'explanations[0].rule: "R27" does not fit. Allowed: R1 to R26.',
    ),
    "a currency in small letters": (
        order_line(charges={"currency": "eur"}),
        'charges.currency: "eur" does not fit. Allowed: three capital letters, such as EUR.',
    ),
    "an id used twice": (
        order_line(tests=[reading(), reading(id="T2"), reading()]),
        'tests[2].id: "T1" is already the id of tests[0]. Allowed: an id used once in tests.',
    ),
    "NaN": (
        order_line(odo_in=0).replace(": 0", ": NaN"),
        "odo_in: NaN is not a number that JSON knows. Allowed: a finite number.",
    ),
    "infinity": (
        order_line(odo_in=0).replace(": 0", ": -Infinity"),
        "odo_in: -Infinity is not a number that JSON knows. Allowed: a finite number.",
    ),
    "a huge exponent": (
        order_line(odo_in=0).replace(": 0", ": 1e999999999999999999999"),
        "odo_in: 1e999999999999999999999 is out of range. Allowed: at most 40 digits, and zero or a size "
        "from 1e-30 to 1e30.",
    ),
    "too many digits": (
        order_line(odo_in=0).replace(": 0", ": 0." + "3" * 41),
        f"odo_in: 0.{'3' * 41} is out of range. Allowed: at most 40 digits, and zero or a size "
        "from 1e-30 to 1e30.",
    ),
    "a key written twice": (
        '{"record":"location","id":"L1","id":"L2"}',
        "id: is written more than once in one object. Allowed: each key once.",
    ),
    "a NUL": (
        order_line(technician="a\0b"),
        "technician: has a NUL character at position 2. Allowed: text without NUL (U+0000).",
    ),
    "half of a pair": (
        order_line(technician="ab\ud800"),
        "technician: has half of a character pair (U+D800) at position 3. Allowed: whole Unicode characters.",
    ),
    "bytes that are not UTF-8": (
        b'{"id":"\xff"}',
        "the line: is not UTF-8 at byte 8 (0xff). Allowed: UTF-8.",
    ),
    "text that cannot be UTF-8": (
        '{"id":"\ud800"}',
        "the line: is not UTF-8 at character 8. Allowed: UTF-8.",
    ),
    "a line too long": (
        b" " * (MAX_LINE_BYTES + 1),
        "the line: is longer than 4,000,000 bytes. Allowed: one order on a line, without attachments.",
    ),
    "endless nesting": (
        "[" * 100_000,
        "the line: is nested deeper than 20 levels. Allowed: the levels of the form.",
    ),
    "deep nesting": (
        order_line(disturbed=[]).replace("[]}", "[" * 300 + "]" * 300 + "}"),
        "the line: is nested deeper than 20 levels. Allowed: the levels of the form.",
    ),
    "a component of a page": (
        order_line(disturbed=["x" * 301]),
        f'disturbed[0]: "{"x" * 60}…" has 301 characters. Allowed: text of at most 300 characters.',
    ),
}


@pytest.mark.parametrize("case", REFUSED)
def test_a_fault_says_what_is_wrong_and_what_is_allowed(case):
    line, text = REFUSED[case]

    assert faults_of(line) == [text]


def test_all_faults_of_a_line_are_named():
    attempt = {"on": "2026-13-01", "outcome": "seen"}
    line = order_line(complaints=[complaint(attempts=[attempt])], odo_unit="m", tests=[reading(value="12")])

    assert [fault.split(":")[0] for fault in faults_of(line)] == [
        "odo_unit",
        "complaints[0].attempts[0].on",
        "complaints[0].attempts[0].outcome",
        "tests[0].value",
    ]


def test_an_unreadable_number_and_a_schema_fault_are_both_named():
    line = order_line(odo_in=0, odo_unit="m").replace(": 0", ": NaN")

    assert [fault.split(":")[0] for fault in faults_of(line)] == ["odo_in", "odo_unit"]


def test_a_line_full_of_faults_names_the_first_of_them():
    assert len(faults_of(order_line(tests=[{}] * 1000))) == 200


def test_every_key_of_the_form_has_its_place_in_the_snapshot():
    # The table is made from the published schema; a key without a field would raise here.
    for kind in ("location", "instrument", "vehicle", "order"):
        with pytest.raises(BadLine, match="is missing"):
            read_line(f'{{"record":"{kind}"}}')
