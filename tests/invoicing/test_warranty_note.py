from dataclasses import replace
from datetime import date

import pytest

from diagnostics.snapshot import Work
from invoicing.warranty_note import NothingToPromise, grant_of, warranty_note
from tests.invoicing.jobs import PROVED, SHOP, TUESDAY, changed

TERMS = {"months": 12, "distance": 12_000, "distance_unit": "mi"}


def note(order=PROVED):
    return warranty_note(order, grant_of(order, **TERMS), shop=SHOP)


def test_it_starts_at_hand_over_and_ends_on_the_anniversary():
    grant = grant_of(PROVED, **TERMS)

    assert (grant.starts_on, grant.last_day) == (date(2026, 7, 1), date(2027, 7, 1))


def test_the_last_reading_is_in_the_odometers_unit():
    # 12,000 km are 7,456.45 miles, rounded up: 96,409 + 7,457.
    grant = grant_of(PROVED, months=12, distance=12_000, distance_unit="km")

    assert (grant.last_reading, grant.last_reading_text) == (103_866, "103,866\u00a0miles")


def test_the_heading_says_limited_and_the_term():
    # 16 CFR 701.3 and 15 USC 2303, as told in paperwork.md section 6: headed "limited", with its duration.
    assert note().heading == "Limited warranty: 12\u00a0months or 12,000\u00a0miles, whichever comes first"


def test_it_lists_what_is_covered_with_the_part():
    assert note().items == ("End plug, replaced: Bus end plug with resistor, new, quantity 1",)


def test_a_reset_promises_nothing():
    reset = Work("W2", "reset", "lamp", "maintenance", TUESDAY)

    assert len(grant_of(changed(work=(*PROVED.work, reset)), **TERMS).items) == 1


def test_it_says_who_pays_how_to_claim_and_that_other_rights_stay():
    # 16 CFR 701.3 (1) to (5), from paperwork.md section 6: who, what, what the shop does, who pays, how.
    sheet = note()

    assert dict(sheet.pays)["The part"] == "We pay"
    assert sheet.steps[1] == "Call us on 01632 960 117 and say what happens. The day you tell us counts."
    assert "It does not limit them." in sheet.rights
    assert sheet.foot[0].startswith("Check your local law.")


def test_last_day_and_last_reading_stand_as_date_and_number():
    sheet = note()

    assert (sheet.last_day, sheet.last_reading) == ("1\u00a0July\u00a02027", "108,409\u00a0miles")
    assert "whichever comes first" in sheet.until


def test_without_a_reading_at_hand_over_the_date_alone_counts():
    sheet = note(changed(odo_out=None))

    assert (sheet.last_reading, sheet.heading) == ("", "Limited warranty: 12\u00a0months")
    assert "The odometer does not count." in sheet.until


def test_an_open_job_is_refused():
    with pytest.raises(NothingToPromise, match="Job 1003 has not been handed back"):
        grant_of(changed(returned=None), **TERMS)


def test_a_job_without_work_is_refused():
    with pytest.raises(NothingToPromise, match="Nothing was fitted or repaired in job 1003"):
        grant_of(changed(work=()), **TERMS)


def test_a_shop_without_terms_is_refused():
    with pytest.raises(NothingToPromise, match="no months of warranty"):
        grant_of(PROVED, **{**TERMS, "months": 0})


def test_the_short_form_is_for_the_findings_sheet():
    short = grant_of(replace(PROVED), **TERMS).in_short

    assert (short.last_day, short.last_reading) == ("1\u00a0July\u00a02027", "108,409\u00a0miles")
