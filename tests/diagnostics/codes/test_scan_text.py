"""Reports of many layouts, all invented: every one is read by its words, none by its name."""

import pytest

from diagnostics.codes.scan_text import read_scan


def units(text):
    """What was found, as {unit: [code with states]}."""
    return {
        module.name or module.address: [
            " ".join([str(found.code), *found.states]) for found in module.codes
        ]
        for module in read_scan(text).modules
    }  # fmt: skip


LAYOUTS = {
    "headings with a colon": """
        Engine control module:
          P0171-00 System too lean bank 1  Confirmed
          P0300  Random misfire            Pending
        Body control module (2)
          B1342:11  confirmed, current
          U0140
        """,
    "headings in capitals, states as headings": """
        == ENGINE ==
        Pending codes:
        P0301
        Permanent codes
        P0420
        """,
    "a unit on every line": "Engine Control (7E8): P0171, P0174 pending\nTransmission: P0700 (confirmed)\n",
    "addresses": """
        Address 01: Engine
        2 faults found:
        P0102 - Air flow low - intermittent
        Address 03: Brakes
        C0035 history
        """,
    "name and value": """
        Module: Engine
        Code: P0562
        Description: low voltage
        Status: Confirmed
        Failure type: 16

        Code: U0073
        Status: history
        """,
    "sections": "[Engine]\ncode1=P0171\nstatus1=confirmed\n[Brakes]\ncode1=C0040\n",
    "semicolons": (
        'Module;Code;Status;Text\nEngine;P0420;stored;"Catalyst; bank 1"\nBrakes;C0035-11;current;x\n'
    ),
    "commas": "ecu,dtc,status\nEngine,P0420,pending\nBrakes,C0035,confirmed\n",
    "tabs": "Module\tCode\tStatus\nEngine\tP0171\tpending\n",
    "bars": (
        "| ECU | DTC | FTB | Status |\n|---|---|---|---|\n"
        "| PCM | P0123 | 11 | 08 |\n| BCM | U0100 | 00 | 0x04 |\n"
    ),
    "columns of blanks": (
        "Module            Code     Status\n"
        "Engine            P0171    pending\n"
        "                  P0174    confirmed\n"
        "Brakes            C0035    current\n"
    ),
    "json": (
        '{"vin": "2Z9BC34D8EF567890", "modules": [{"name": "Engine", "dtcs": [{"code": "P0171",'
        ' "status": "pending"}]}, {"name": "Brakes", "dtcs": [{"code": "C0035", "ftb": "11"}]}]}'
    ),
    "json by unit": '{"Engine": ["P0171", "P0174"], "ABS": [], "Body": ["B1342"]}',
    "json cut off": '{"modules": [{"name": "Engine", "dtcs": [{"code": "P0171", "status": "pend',
    "tags": (
        '<scan><module name="Engine"><dtc code="P0171" status="pending">lean</dtc></module>\n'
        "<Module><Name>Brakes</Name><Code>C0035</Code><Status>Stored</Status></Module></scan>"
    ),
    "web page": (
        "<html><table><tr><th>Module</th><th>Code</th><th>Status</th></tr>\n"
        "<tr><td>Engine</td><td>P0171</td><td>Pending</td></tr></table></html>"
    ),
    "bytes behind a unit": "ECM: 01 33\n",
    "bytes behind a label": "Engine:\nDTC bytes: 01 35, C1 00\nCode: 0x012311\n",
    "answers with an address": "7E8 06 43 02 01 71 01 74 AA\n7E9 43 00\n",
    "answer with status bytes": "Engine:\n59 02 FF 01 23 11 2F\n",
    "legacy answer with its header": "Engine:\n48 6B 10 43 03 00 03 01 00 00 5A\n",
    "joined failure type": "Engine:\nP012311\n",
    "state before the code": "Engine:\nPending: P0171 lean\nConfirmed P0300\n",
    "unit behind its code": (
        "Code: P0301\nStatus: permanent\nECU: Engine\n\nCode: C1234\nStatus: stored\nECU: ABS\n"
    ),
    "states as headings, close together": "ENGINE UNIT (ECM)\n CONFIRMED\n  P0128 cold\n PENDING\n  P0300\n",
    "fields on one line": "Module: Engine | Code: P0171 | Status: Pending\nECU: ABS   Protocol: CAN\nC0035\n",
    "answers behind their service": "Mode 03: 43 02 01 71 01 74\nService 07: 47 01 03 00\n",
    "a sentence": "Found 2 faults in module Engine: P0101 and P0113.\nModule Airbag did not respond.\n",
    "lower case": "engine:\np0171 pending\n",
}  # fmt: skip
READ = {
    "headings with a colon": {
        "Engine control module": ["P0171-00 confirmed", "P0300 pending"],
        "Body control module": ["B1342-11 confirmed current", "U0140"],
    },
    "headings in capitals, states as headings": {"ENGINE": ["P0301 pending", "P0420 permanent"]},
    "a unit on every line": {
        "Engine Control": ["P0171 pending", "P0174 pending"], "Transmission": ["P0700 confirmed"],
    },
    "addresses": {"Engine": ["P0102 intermittent"], "Brakes": ["C0035 history"]},
    "name and value": {"Engine": ["P0562-16 confirmed", "U0073 history"]},
    "sections": {"Engine": ["P0171 confirmed"], "Brakes": ["C0040"]},
    "semicolons": {"Engine": ["P0420 stored"], "Brakes": ["C0035-11 current"]},
    "commas": {"Engine": ["P0420 pending"], "Brakes": ["C0035 confirmed"]},
    "tabs": {"Engine": ["P0171 pending"]},
    "bars": {"PCM": ["P0123-11 confirmed"], "BCM": ["U0100-00 pending"]},
    "columns of blanks": {"Engine": ["P0171 pending", "P0174 confirmed"], "Brakes": ["C0035 current"]},
    "json": {"Engine": ["P0171 pending"], "Brakes": ["C0035-11"]},
    "json by unit": {"Engine": ["P0171", "P0174"], "ABS": [], "Body": ["B1342"]},
    "json cut off": {"Engine": ["P0171"]},
    "tags": {"Engine": ["P0171 pending"], "Brakes": ["C0035 stored"]},
    "web page": {"Engine": ["P0171 pending"]},
    "bytes behind a unit": {"ECM": ["P0133"]},
    "bytes behind a label": {"Engine": ["P0135", "U0100", "P0123-11"]},
    "answers with an address": {"7E8": ["P0171 confirmed", "P0174 confirmed"], "7E9": []},
    "answer with status bytes": {"Engine": ["P0123-11 current pending confirmed failed since clearing"]},
    "legacy answer with its header": {"Engine": ["P0300 confirmed", "P0301 confirmed"]},
    "joined failure type": {"Engine": ["P0123-11"]},
    "state before the code": {"Engine": ["P0171 pending", "P0300 confirmed"]},
    "unit behind its code": {"Engine": ["P0301 permanent"], "ABS": ["C1234 stored"]},
    "states as headings, close together": {"ENGINE UNIT (ECM)": ["P0128 confirmed", "P0300 pending"]},
    "fields on one line": {"Engine": ["P0171 pending"], "ABS": ["C0035"]},
    "answers behind their service": {"": ["P0171 confirmed", "P0174 confirmed", "P0300 pending"]},
    "a sentence": {"Engine": ["P0101", "P0113"], "Airbag": []},
    "lower case": {"engine": ["P0171 pending"]},
}  # fmt: skip


@pytest.mark.parametrize("layout", LAYOUTS)
def test_a_report_is_read_whatever_its_layout(layout):
    assert units(LAYOUTS[layout]) == READ[layout]


@pytest.mark.parametrize("layout", LAYOUTS)
def test_every_code_knows_its_line(layout):
    lines = LAYOUTS[layout].splitlines()
    for found in read_scan(LAYOUTS[layout]).codes:
        assert found.typed.split()[0] in lines[found.line - 1]


SILENT = [
    "ABS: no response", "ABS   did not answer", "No response from ABS", "ABS (0x28) not responding",
    "ABS - communication failed", "Module;Status\nABS;no response",
    '{"modules":[{"name":"ABS","response":false}]}',
    '<scan><ecu name="ABS" response="no answer"/></scan>', "ABS cannot be reached", "ABS\ttimed out",
    "== ABS ==\nNo answer",
]  # fmt: skip


@pytest.mark.parametrize("text", SILENT)
def test_a_unit_that_did_not_answer_is_named(text):
    assert [module.name for module in read_scan(text).silent] == ["ABS"]


FREE = [
    "ABS: no codes", "ABS - no fault codes stored", "ABS (0 codes)", "ABS: 0 DTCs",
    "Module: ABS\nno faults found",
    "ABS ... OK", "No codes in ABS", "Module,Code\nABS,none", "ABS:\n  No trouble codes", "ABS: codes: none",
]  # fmt: skip


@pytest.mark.parametrize("text", FREE)
def test_a_unit_that_says_it_has_no_codes_is_named(text):
    found = read_scan(text).modules

    assert [(module.name, module.says_no_codes, module.answered) for module in found] == [("ABS", True, True)]


def test_a_report_may_say_that_there_are_no_codes_at_all():
    found = read_scan("No trouble codes found\n")

    assert found.says_no_codes
    assert not found.codes


def test_no_pending_codes_does_not_mean_no_codes():
    assert not read_scan("Engine:\nNo pending codes\n").modules[0].says_no_codes


def test_a_code_about_lost_communication_is_a_code_and_no_silence():
    found = read_scan("Engine:\nU0121 no communication with brakes\n")

    assert not found.silent
    assert [str(code.code) for code in found.codes] == ["U0121"]


def test_a_word_that_also_describes_a_circuit_is_no_state():
    (code,) = read_scan("P0A1A Drive motor control module current high\n").codes

    assert code.states == ()
    assert code.text == "Drive motor control module current high"


def test_the_words_of_the_report_are_kept_beside_the_code():
    (code,) = read_scan("P0171 - System too lean - pending\n").codes

    assert code.text == "System too lean"


def test_words_under_a_code_further_in_are_its_text():
    (code,) = read_scan("P0171\n    System too lean\n").codes

    assert code.text == "System too lean"


def test_a_code_said_twice_with_two_states_is_one_code_with_both():
    found = read_scan("Engine:\nConfirmed:\nP0171\nPending:\nP0171\n")

    assert [code.states for code in found.codes] == [("confirmed", "pending")]


def test_who_when_and_how_far_are_recognised():
    found = read_scan("VIN: 2Z9BC34D8EF567890\nOdometer: 61,516 miles\nDate: 17 Oct 2026 11:20\n2026-10-18\n")

    assert found.vin == "2Z9BC34D8EF567890"
    assert (found.odometer.value, found.odometer.unit, found.odometer.line) == ("61516", "mi", 2)
    assert [remark.text for remark in found.dates] == ["17 Oct 2026 11:20", "2026-10-18"]
    assert not found.unread


def test_monitors_in_words_are_read():
    found = read_scan("MIL: on\nMisfire monitor: complete\nCatalyst   not ready\nEGR system: not supported\n")

    assert found.lamp is True
    assert (found.supported, found.incomplete) == (("catalyst", "misfire"), ("catalyst",))
    assert "no codes does not mean no fault" in found.monitor_words


def test_monitors_in_bytes_are_read():
    found = read_scan("41 01 81 07 6D 6D\n")

    assert found.readiness.dtc_count == 1
    assert "evap" in found.incomplete


def test_without_a_word_on_monitors_no_codes_proves_nothing():
    assert "none shown proves nothing" in read_scan("no codes").monitor_words


def test_what_was_not_understood_is_listed_with_its_line():
    found = read_scan("Shift report by Tobin\n\nP0171\nCoolant 90 degrees after the run.\n")

    assert [(row.line, row.text) for row in found.unread] == [
        (1, "Shift report by Tobin"), (4, "Coolant 90 degrees after the run."),
    ]  # fmt: skip


@pytest.mark.parametrize(("typed", "meant"), [("PO171", "P0171"), ("P0I71", "P0171"), ("uo100", "U0100")])
def test_a_letter_in_the_place_of_a_digit_is_asked_about_and_not_mended(typed, meant):
    found = read_scan(f"{typed} lean\n")

    assert not found.codes
    assert f"{typed} has a letter where {meant} has a digit" in found.unread[0].why


@pytest.mark.parametrize(
    "text", ["2024", "12:34", "Part 1 23 45", "Codes: 01 33 01 71", "B4171", "ZP0171", "P01717"]
)
def test_what_is_no_code_is_not_taken_for_one(text):
    found = read_scan(text)

    assert not found.codes
    assert [remark.line for remark in found.unread] == [1]


def test_bytes_on_their_own_are_read_with_a_doubt():
    found = read_scan("Engine:\n01 33\n")

    assert [(code.form, str(code.code)) for code in found.codes] == [("bytes", "P0133")]
    assert "read as the code P0133" in found.doubts[0].why


def test_an_answer_that_fits_two_layouts_says_so():
    found = read_scan("43 01 33 00 00 00 00\n")

    assert [str(code.code) for code in found.codes] == ["P0133"]
    assert "With the CAN layout it would be P3300" in found.doubts[0].why


def test_one_frame_of_a_longer_answer_is_not_guessed_at():
    found = read_scan("7E8 10 0A 43 04 01 71 01 74\n")

    assert not found.codes
    assert "put the frames together" in found.unread[0].why


def test_a_row_without_a_unit_belongs_to_the_row_above_and_says_so():
    found = read_scan("Module;Code\nEngine;P0171\n;P0300\n")

    assert units("Module;Code\nEngine;P0171\n;P0300\n") == {"Engine": ["P0171", "P0300"]}
    assert "Read as one more of Engine" in found.doubts[0].why


def test_a_complaint_in_words_is_no_unit():
    found = read_scan("Customer reports engine light, code P0420\n")

    assert [module.name for module in found.modules] == [""]
