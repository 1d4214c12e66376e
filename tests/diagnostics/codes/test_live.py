"""Live data and readiness from raw bytes: SAE J1979 formulas, rows of trade-values.md section 8."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.codes.live import MONITORS, PIDS, in_words, readiness_of, trim_of_sensor
from shared.computing import Refused, compute

# PID, bytes, value. Formulas read in a public table, those marked M from memory.
VALUES = [
    ("0C", "1A F8", 1726), ("05", "7B", 83), ("06", "80", 0), ("06", "9A", 20.3125), ("07", "70", -12.5),
    ("04", "80", 50.196078), ("0B", "65", 101), ("0D", "3C", 60), ("0E", "94", 10), ("0F", "3E", 22),
    ("10", "01 A4", 4.2), ("11", "26", 14.901961), ("14", "5A 80", 0.45), ("42", "38 A4", 14.5),
    ("1F", "02 58", 600), ("2F", "99", 60), ("33", "63", 99), ("0A", "64", 300), ("5C", "82", 90),
    ("44", "80 00", 1.0), ("06", "8F", 11.71875), ("42", "2E E0", 12.0), ("15", "B4 FF", 0.9),
    ("08", "00", -100), ("09", "FF", 99.21875), ("1B", "FF 00", 1.275), ("21", "01 00", 256),
    ("22", "01 00", 20.224), ("23", "01 00", 2560), ("31", "FF FF", 65535), ("3C", "11 B8", 413.6),
    ("43", "00 FF", 100), ("46", "00", -40), ("5E", "00 64", 5), ("0e", "00", -64), ("3C", "00 00", -40),
]  # fmt: skip


@pytest.mark.parametrize(("pid", "data", "value"), VALUES)
def test_a_value_comes_from_its_bytes(pid, data, value):
    assert compute("obd.pid", {"pid": pid, "bytes": data}) == pytest.approx(value, abs=1e-6)


def test_every_pid_with_a_formula_is_tried_above():
    of_sensors = set(range(0x14, 0x1C))

    assert {int(pid, 16) for pid, _, _ in VALUES} >= set(PIDS) - of_sensors


@pytest.mark.parametrize("pid", ["0c", " 0C ", "0x0C", "010C", "01 0C"])
def test_a_pid_may_be_written_in_several_ways(pid):
    assert compute("obd.pid", {"pid": pid, "bytes": "1af8"}) == 1726


@pytest.mark.parametrize("pid", PIDS)
def test_another_number_of_bytes_is_refused(pid):
    wrong = "11 22 33" if PIDS[pid].size == 2 else "11 22"

    with pytest.raises(Refused, match="bytes cannot be used") as refused:
        compute("obd.pid", {"pid": f"{pid:02X}", "bytes": wrong})

    assert refused.value.allowed.startswith(f"{PIDS[pid].size} byte")


@pytest.mark.parametrize(
    ("pid", "said"), [("FF", "not a PID"), ("C", "not a PID"), ("", "not a PID"), ("01", "no single value")]
)
def test_a_pid_without_a_formula_is_refused(pid, said):
    with pytest.raises(Refused, match=said) as refused:
        compute("obd.pid", {"pid": pid, "bytes": "00"})

    assert refused.value.field == "pid"


def test_an_oxygen_sensor_says_whether_it_is_used_in_trim():
    assert trim_of_sensor(b"\x5a\x80") == 0
    assert trim_of_sensor(b"\xb4\xff") is None
    assert in_words("15", "B4 FF") == "Oxygen sensor 2: 0.9 V; not used in trim."
    assert in_words("14", "5A 9A") == "Oxygen sensor 1: 0.45 V; trim 20.3125 %."


def test_a_value_is_said_with_name_and_unit():
    assert in_words("0C", "1A F8") == "Engine speed: 1726 rpm."


def test_a_fuel_trim_is_said_with_its_meaning():
    assert "Positive adds fuel" in in_words("06", "9A")


@given(st.sampled_from(sorted(PIDS)), st.binary(min_size=2, max_size=2))
def test_more_in_a_byte_never_means_less(pid, data):
    kind = PIDS[pid]
    data = data[: kind.size]
    if data[0] < 255:
        assert kind.value(bytes([data[0] + 1, *data[1:]])) > kind.value(data)


READINESS = [
    (
        "81 07 6D 6D",  # Printed in a public service page.
        "lamp 1 spark",
        "catalyst components evap fuel_system misfire o2_heater o2_sensor secondary_air",
        "catalyst evap o2_heater o2_sensor secondary_air",
    ),
    (
        "00 07 E5 00",  # This and the rest by the bit table of SAE J1979.
        "dark 0 spark",
        "catalyst components egr_vvt evap fuel_system misfire o2_heater o2_sensor",
        "",
    ),
    (
        "830ecb42",
        "lamp 3 compression",
        "boost components egr_vvt fuel_system nmhc_catalyst nox_scr pm_filter",
        "nox_scr pm_filter",
    ),
    ("7F 70 00 FF", "dark 127 spark", "", ""),
    ("00 78 14 14", "dark 0 compression", "", ""),
]


@pytest.mark.parametrize(("data", "head", "supported", "incomplete"), READINESS)
def test_readiness_follows_the_bit_table(data, head, supported, incomplete):
    lamp, count, ignition = head.split()

    assert compute("obd.readiness", {"bytes": data}) == {
        "mil": lamp == "lamp",
        "dtc_count": int(count),
        "ignition": ignition,
        "supported": supported.split(),
        "incomplete": incomplete.split(),
    }


@pytest.mark.parametrize("data", ["", "81 07 6D", "81 07 6D 6D 00", "41 01 81 07 6D 6D"])
def test_readiness_needs_four_bytes(data):
    with pytest.raises(Refused, match="bytes cannot be used"):
        compute("obd.readiness", {"bytes": data})


@given(st.binary(min_size=4, max_size=4))
def test_a_monitor_that_is_not_supported_is_never_incomplete(data):
    found = readiness_of(data)

    assert set(found.incomplete) <= set(found.supported) <= set(MONITORS)


def test_no_codes_with_an_unfinished_monitor_is_no_proof():
    assert "no codes does not mean no fault" in readiness_of(bytes.fromhex("0007E504")).words
    assert "All 8\xa0monitors finished" in readiness_of(bytes.fromhex("0007E500")).words
    assert "proves nothing" in readiness_of(bytes(4)).words
