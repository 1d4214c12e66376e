"""Before and after: what became of each code, what cannot be said, and who should have answered."""

import pytest

from diagnostics.codes.compare import Earlier, Scan, compare, missing_modules, module_key
from diagnostics.codes.scan_text import read_scan


def side(text):
    found = read_scan(text)
    return Scan(found.modules, found.supported, found.incomplete, found.has_monitors)


def changes(before, after):
    found = compare(side(before), side(after))
    return {(change.kind, str(change.code.code)) for change in found.changes}


BEFORE = "Engine:\nP0171 pending\nP0300 confirmed\nP0420 confirmed\nBrakes:\nC0035 confirmed\nRadio:\nB1342\n"
AFTER = "Engine:\nP0171 confirmed\nP0300 confirmed\nP0101\nBrakes: no response\n"


def test_each_code_of_both_scans_has_one_fate():
    assert changes(BEFORE, AFTER) == {
        ("changed", "P0171"), ("remaining", "P0300"), ("cleared", "P0420"), ("new", "P0101"),
        ("unknown", "C0035"), ("unknown", "B1342"),
    }  # fmt: skip


def test_a_code_of_a_silent_unit_is_not_called_cleared():
    found = compare(side(BEFORE), side(AFTER))

    assert [change.why for change in found.of("unknown")] == [
        "its control unit did not answer in the second scan", "its control unit is not in the second scan",
    ]  # fmt: skip


def test_the_same_code_with_another_failure_type_is_another_report():
    assert changes("Engine:\nP0123-11\n", "Engine:\nP0123-12\n") == {
        ("cleared", "P0123-11"),
        ("new", "P0123-12"),
    }


def test_the_same_code_in_two_units_is_two_reports():
    before, after = "Engine:\nU0140\nBrakes:\nU0140\n", "Engine:\nU0140\nBrakes: no codes\n"

    assert changes(before, after) == {("remaining", "U0140"), ("cleared", "U0140")}


def test_a_report_that_names_no_unit_is_matched_by_code():
    assert changes("P0171\nP0300\n", "Engine:\nP0171\n") == {("remaining", "P0171"), ("cleared", "P0300")}


def test_no_codes_with_unfinished_monitors_is_warned_of():
    after = "Engine: no codes\nMisfire: complete\nCatalyst: not ready\n"

    (warning,) = compare(side(BEFORE), side(after)).warnings
    assert "Not finished: catalyst" in warning


def test_a_report_without_monitors_is_warned_of():
    warnings = compare(side("P0171"), side("No codes found")).warnings

    assert "says nothing about monitors" in warnings[0]


def test_finished_monitors_need_no_warning():
    assert compare(side("Engine:\nP0171\n"), side("Engine: no codes\nCatalyst: ready\n")).warnings == ()


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("ECM", "Engine control module"), ("ABS", "Anti-lock brakes"), ("Airbag", "SRS control unit"),
        ("BCM", "Body"), ("Instrument cluster", "Instruments"), ("Power steering", "EPS"),
    ],
)  # fmt: skip
def test_a_unit_is_the_same_under_its_usual_names(one, other):
    assert set(module_key(one).split()) & set(module_key(other).split())


def test_two_doors_are_two_units():
    assert module_key("Driver door module") != module_key("Passenger door module")


def test_a_unit_without_a_name_is_known_by_its_address():
    assert module_key("", "7E8") == "7e8"


NOW = read_scan("Engine: no codes\nBrakes: no response\n").modules


def test_units_of_earlier_scans_that_gave_nothing_are_missing():
    earlier = Earlier(
        "the scan of 3 Mar 2026", read_scan("ECM:\nP0171\nRadio: no codes\nTrailer: no response\n").modules
    )

    found = missing_modules(NOW, [earlier], [])

    assert [(row.name, row.is_silent) for row in found] == [("Brakes", True), ("Radio", False)]
    assert found[1].why == "answered in the scan of 3 Mar 2026"


def test_units_of_the_platform_are_counted():
    others = [
        Earlier("a", read_scan("Engine: no codes\nRadio: no codes\n").modules),
        Earlier("b", read_scan("Engine: no codes\nRadio:\nB1342\nTrailer: no codes\n").modules),
    ]

    found = {row.name: row.why.replace("\xa0", " ") for row in missing_modules(NOW, [], others)}

    assert found == {
        "Brakes": "the report names it as silent",
        "Radio": "answered in 2 of 2 other vehicles of this model",
        "Trailer": "answered in 1 of 2 other vehicles of this model",
    }


def test_nothing_is_missing_where_everybody_answered():
    modules = read_scan("Engine: no codes\nRadio:\nB1342\n").modules

    assert missing_modules(modules, [Earlier("a", modules)], [Earlier("b", modules)]) == ()
