"""R25: was the diagnosis handed from one person to the next?"""

from dataclasses import replace

import pytest

from diagnostics.snapshot import HandOff, TimeEntry
from tests.diagnostics.evidence.build import (
    a_complaint,
    an_order,
    explained,
    findings,
    on,
    states,
    still_open,
)

COMPLETE = HandOff(
    "c1",
    "Tobin Marl",
    "Hugo Lant",
    on(4),
    known="draw 1.21 A asleep",
    ruled_out=(),
    suspected=(),
    next="drop across fuses",
    acknowledged_by="Hugo Lant",
)


def entry(by, day, clock="", **given):
    return TimeEntry(
        **{"by": by, "on": on(day, clock), "minutes": 30, "kind": "diagnosis", "complaint": "c1", **given}
    )


def shared(*hand_offs, entries=None):
    entries = entries or (entry("Tobin Marl", 3), entry("Hugo Lant", 5))
    return an_order(complaints=(a_complaint(), a_complaint("c2")), time=entries, handoffs=hand_offs)


def test_two_people_one_after_the_other_need_a_hand_off():
    assert states(shared(), "R25") == {"c1": "gap"}


def test_a_complete_hand_off_in_between_closes_it():
    assert states(shared(COMPLETE), "R25") == {}


@pytest.mark.parametrize(("day", "fires"), [(2, True), (3, False), (5, False), (6, True)])
def test_the_hand_off_is_dated_in_between_both_dates_included(day, fires):
    assert bool(states(shared(replace(COMPLETE, on=on(day))), "R25")) is fires


@pytest.mark.parametrize(
    "given",
    [
        {"known": " "},
        {"ruled_out": None},
        {"suspected": None},
        {"next": ""},
        {"acknowledged_by": ""},
        {"acknowledged_by": "Tobin Marl"},
        {"complaint": "c2"},
        {"giver": "Hugo Lant", "receiver": "Tobin Marl", "acknowledged_by": "Tobin Marl"},
        {"receiver": "Maud Kerrow", "acknowledged_by": "Maud Kerrow"},
    ],
)
def test_an_incomplete_hand_off_or_one_between_others_does_not_help(given):
    assert states(shared(replace(COMPLETE, **given)), "R25") == {"c1": "gap"}


def test_filled_lists_are_as_good_as_empty_ones():
    assert states(shared(replace(COMPLETE, ruled_out=("battery",), suspected=("radio",))), "R25") == {}


def test_one_person_alone_needs_no_hand_off():
    assert states(shared(entries=(entry("Tobin Marl", 3), entry("Tobin Marl", 5))), "R25") == {}


def test_an_entry_without_a_name_is_nobodys():
    assert states(shared(entries=(entry("Tobin Marl", 3), entry(" ", 5))), "R25") == {}


def test_two_people_on_two_complaints_need_no_hand_off():
    entries = (entry("Tobin Marl", 3), entry("Hugo Lant", 5, complaint="c2"))

    assert states(shared(entries=entries), "R25") == {}


@pytest.mark.parametrize("complaint", ["", "c9"])
def test_time_on_no_complaint_of_the_order_needs_no_hand_off(complaint):
    entries = (entry("Tobin Marl", 3, complaint=complaint), entry("Hugo Lant", 5, complaint=complaint))

    assert states(shared(entries=entries), "R25") == {}


def test_diagnosis_and_repair_entries_follow_one_another():
    entries = (entry("Tobin Marl", 3), entry("Hugo Lant", 5, kind="repair"))

    assert states(shared(entries=entries), "R25") == {"c1": "gap"}


def test_entries_go_by_date_not_by_the_record():
    entries = (entry("Hugo Lant", 5), entry("Tobin Marl", 4), entry("Hugo Lant", 6), entry("Tobin Marl", 3))

    assert states(shared(COMPLETE, entries=entries), "R25") == {}


def test_on_one_date_the_time_of_day_decides_who_followed_whom():
    entries = (entry("Hugo Lant", 4, "11:00"), entry("Tobin Marl", 4, "09:00"))

    assert states(shared(COMPLETE, entries=entries), "R25") == {}


def test_each_change_of_hands_needs_its_own_hand_off():
    entries = (entry("Tobin Marl", 3), entry("Hugo Lant", 5), entry("Tobin Marl", 7))
    back = replace(COMPLETE, giver="Hugo Lant", receiver="Tobin Marl", on=on(6), acknowledged_by="Tobin Marl")

    assert states(shared(COMPLETE, entries=entries), "R25") == {"c1": "gap"}
    assert states(shared(COMPLETE, back, entries=entries), "R25") == {}


def test_several_missing_hand_offs_on_one_complaint_are_one_finding():
    entries = (entry("Tobin Marl", 3), entry("Hugo Lant", 5), entry("Tobin Marl", 7))

    assert len(findings(shared(entries=entries), "R25")) == 1


def test_a_missing_hand_off_is_never_pending_and_can_be_explained():
    order = still_open(shared())

    assert states(order, "R25") == {"c1": "gap"}
    assert states(explained(order, "R25", "c1"), "R25") == {"c1": "explained"}


def test_a_missing_hand_off_names_both_people_and_dates():
    (finding,) = findings(shared(), "R25")

    assert "Tobin Marl (3 Oct 2026) was followed by Hugo Lant (5 Oct 2026)" in finding.text
