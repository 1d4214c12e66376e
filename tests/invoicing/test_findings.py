import json
from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from diagnostics import snapshot
from diagnostics.snapshot import (
    Assumption,
    Attempt,
    Authorisation,
    Charges,
    Complaint,
    Declined,
    Explanation,
    Location,
    Part,
    PlannedReturn,
    RequiredStep,
    Suspect,
    TrialSeries,
    Waiver,
    Work,
)
from invoicing.findings import Returned, as_data
from invoicing.findings.proof import clean_bound
from invoicing.findings.readings import MOST_STRIPS, taken
from tests.invoicing.jobs import (
    METERS,
    MONDAY,
    PROVED,
    TUESDAY,
    WEDNESDAY,
    changed,
    complaint,
    reading,
    sheet_of,
)


def whole(sheet):
    return json.dumps(as_data(sheet), ensure_ascii=False)


def test_the_box_says_what_was_wrong_what_was_done_and_how_sure_we_are():
    answer = sheet_of(PROVED).answer

    assert answer.wrong == "The end resistor was left out."
    assert answer.did == "We replaced the end plug."
    assert answer.sure == "Confirmed by test. Proved gone."


def test_a_sheet_is_plain_json():
    data = as_data(sheet_of(PROVED))

    assert json.loads(json.dumps(data))["job"] == "1003"


def test_the_same_order_gives_the_same_sheet():
    assert sheet_of(PROVED) == sheet_of(PROVED)


def test_the_complaint_stands_in_the_customers_words_and_in_ours():
    asked = sheet_of(PROVED).asked[0]

    assert asked.said == "Half the dials went dead."
    assert asked.restated == (
        "We noted it as: Messages lost between units (Data networks). It comes and goes."
    )


def test_it_says_how_often_it_was_seen_and_when():
    assert (
        "it showed 3\u00a0times in 4\u00a0tries. Key on after ten minutes locked." in sheet_of(PROVED).seen[0]
    )


def test_a_reading_stands_before_and_after_with_limit_and_whose_it_is():
    row = sheet_of(PROVED).rows[0]

    assert (row.name, row.where) == ("Resistance of the data line", "pins 6 and 14")
    assert (row.before.text, row.before.verdict) == ("120.4\u00a0ohm", "outside limits")
    assert (row.after.text, row.after.verdict) == ("60.3\u00a0ohm", "within specification")
    assert row.should_be == "50 to 70\u00a0ohm"


def test_the_origin_of_the_limit_is_named():
    order = changed(tests=PROVED.tests[:1])

    assert sheet_of(order).rows[0].whose == "common practice"
    assert "“Should be” values come from: common practice." in sheet_of(order).strip_note
    assert sheet_of(order).notes == (
        "Resistance of the data line: common practice; the maker's figure wins.",
    )


def test_conditions_stand_beside_the_place():
    assert sheet_of(changed(tests=PROVED.tests[:1])).rows[0].where == "pins 6 and 14; battery off"


@pytest.mark.parametrize(
    ("value", "verdict", "remark"),
    [
        # The meter is good to 0.5 ohm, so U = 2 * 0.5 / sqrt 3 = 0.577 ohm about the limit of 70.
        ("69.4", "within specification", ""),
        ("69.5", "borderline", "within, not proved: 96 % that it meets the limit"),
        ("70.4", "borderline", "outside, not proved: 8 % that it meets the limit"),
        ("70.6", "outside limits", ""),
    ],
)
def test_a_reading_is_within_specification_only_where_that_is_proved(value, verdict, remark):
    one = taken(reading("T1", value), METERS)

    assert (one.verdict, one.remark) == (verdict, remark)


def test_without_a_known_accuracy_a_reading_is_within_its_limits_and_nothing_more_is_said():
    one = taken(reading("T1", "60.3"), {})

    assert (one.verdict, one.remark) == ("within limits", "")


def test_a_reading_without_a_value_is_not_measured_and_says_why():
    one = taken(replace(reading("T1", "1"), value=None), METERS)

    assert (one.text, one.verdict, one.remark) == ("not measured", "not measured", "no value")


def test_a_reading_without_a_limit_has_no_verdict():
    assert taken(replace(reading("T1", "1"), lo=None, hi=None), METERS).verdict == "no verdict"


def test_a_code_read_is_a_report():
    one = taken(snapshot.Test("T9", "codes", "before", "code", MONDAY, observation="U0121 stored."), METERS)

    assert (one.text, one.remark) == ("U0121 stored", "a report, not a reading")


def test_an_observation_without_words_is_not_measured():
    one = taken(snapshot.Test("T9", "look", "before", "attribute", MONDAY, result="fail"), METERS)

    assert one.verdict == "not measured"


def test_strips_convert_an_earlier_value_to_the_later_unit():
    before = replace(
        PROVED.tests[0], value=Decimal("0.1204"), unit="kohm", lo=Decimal("0.05"), hi=Decimal("0.07")
    )
    strip = sheet_of(changed(tests=(before, PROVED.tests[1]))).strips[0]

    assert (strip.before, strip.value, strip.unit) == ("120.4", "60.3", "ohm")


def test_no_more_strips_are_drawn_than_fit():
    tests = tuple(reading(f"T{n}", "99", code=f"test_{n}") for n in range(9))

    assert len(sheet_of(changed(tests=tests)).strips) == MOST_STRIPS
    assert len(sheet_of(changed(tests=tests)).rows) == 9


def test_the_strength_falls_when_a_rival_is_open():
    open_rival = complaint(suspects=(Suspect("gateway", "open"),))

    assert sheet_of(changed(complaints=(open_rival,))).found[0].strength == (
        "Most likely, other causes not ruled out"
    )


def test_the_strength_falls_when_no_reading_isolates_the_cause():
    tests = (replace(PROVED.tests[0], isolates=""), PROVED.tests[1])

    assert sheet_of(changed(tests=tests)).answer.sure.startswith("Most likely, other causes not ruled out.")


def test_an_explanation_does_not_make_a_weak_cause_strong():
    tests = (replace(PROVED.tests[0], isolates=""), PROVED.tests[1])
    reason = Explanation("R12", "W1", "No other part was reachable.", "Isa Renk")

    found = sheet_of(changed(tests=tests, explanations=(reason,))).found[0]

    assert found.strength == "Most likely, other causes not ruled out"


def test_without_a_cause_it_was_not_found():
    order = changed(causes=(), work=(), trials=(), tests=PROVED.tests[:1], outcome="no_fault_found")
    sheet = sheet_of(order)

    assert sheet.answer.wrong == "We did not find the cause."
    assert sheet.answer.sure == "Not found. Not found, watching."
    assert sheet.answer.did == "We changed nothing."


def test_a_part_is_named_with_its_condition():
    assert sheet_of(PROVED).done[0].part == "Bus end plug with resistor, new, quantity 1"


def test_notes_of_the_workshop_stay_in_the_workshop():
    assert "body shop" not in whole(sheet_of(PROVED))


@pytest.mark.parametrize(
    ("kind", "reason", "words"),
    [
        ("repair", "cause", "We repaired the end plug."),
        ("clean", "maintenance", "We cleaned the end plug, as maintenance."),
        ("adjust", "customer_request", "We adjusted the end plug, as you asked."),
        ("replace", "consequential", "We replaced the end plug, because the fault had affected it."),
        ("reset", "access", "We reset the end plug, to reach what lies behind it."),
    ],
)
def test_work_is_told_with_its_reason(kind, reason, words):
    work = Work("W1", kind, "end plug", reason, TUESDAY)

    assert sheet_of(changed(work=(work,))).done[0].text == words


def test_many_things_done_are_cut_in_the_box_and_whole_below():
    work = tuple(Work(f"W{n}", "replace", f"part {n}", "cause", TUESDAY, complaint="C1") for n in range(5))
    sheet = sheet_of(changed(work=work))

    assert (
        sheet.answer.did == "We replaced the part 0, the part 1, the part 2 and 2 more things, listed below."
    )
    assert len(sheet.done) == 5


def test_we_know_by_the_same_reading_and_the_trials():
    proof = sheet_of(PROVED).proof[0]

    assert proof.again == (
        "Resistance of the data line (pins 6 and 14): 120.4\u00a0ohm before, 60.3\u00a0ohm after, "
        "within specification.",
    )
    assert "We tried it 5\u00a0times after the repair" in proof.sentences[0]
    assert (proof.outcome, proof.carried_by) == (
        "proved gone",
        "the reading that failed now passes and no return in 5\u00a0tries",
    )


@pytest.mark.parametrize(("trials", "bound"), [(3, 64), (10, 26), (30, 10), (5, 46), (1, 95)])
def test_what_clean_trials_do_not_exclude(trials, bound):
    # practice.md section 8: 3 clean trials allow 63 %, 10 allow 26 %, 30 allow 9.5 %; rounded up here.
    assert clean_bound(trials) == bound


def test_clean_trials_are_told_in_plain_words():
    assert (
        "5\u00a0clean tries rule out, with 95\u00a0% confidence, a fault that still shows in more than 46 "
        "of 100 tries. A rarer one could remain."
    ) in sheet_of(PROVED).proof[0].sentences[1]


def test_without_a_re_read_and_trials_it_could_not_be_confirmed():
    sheet = sheet_of(changed(tests=PROVED.tests[:1], trials=()))

    assert "We could not confirm that the repair worked." in sheet.proof[0].sentences
    assert sheet.proof[0].outcome == "repaired, not yet proved"
    assert any("was not taken again" in line for line in sheet.unverified)


def test_a_recurrence_is_told():
    sheet = sheet_of(changed(trials=(TrialSeries("C1", WEDNESDAY, 5, 2),)))

    assert "it came back twice in 5\u00a0tries." in sheet.proof[0].sentences[0]


def test_the_word_fixed_is_never_used():
    for order in (PROVED, changed(tests=PROVED.tests[:1], trials=()), changed(work=(), causes=())):
        assert "fixed" not in whole(sheet_of(order)).lower()


def test_a_proved_job_left_nothing_out():
    assert sheet_of(PROVED).unverified == ()


def test_a_skipped_step_is_told():
    skipped = complaint(required=(RequiredStep("bus_resistance"), RequiredStep("bus_signal", "after")))

    assert sheet_of(changed(complaints=(skipped,))).unverified == (
        "Our plan asks for these, and they were not done: Strength of the data signal (after the repair).",
    )


def test_a_step_left_out_on_purpose_is_told_with_its_reason():
    waiver = Waiver("No scope in the house.", "Isa Renk")
    left_out = complaint(required=(RequiredStep("bus_signal", waiver=waiver),))

    assert sheet_of(changed(complaints=(left_out,))).unverified == (
        "Strength of the data signal: our plan asks for it, and it was not done. Left so on purpose: "
        "No scope in the house.",
    )


def test_the_exemption_of_a_one_person_shop_is_printed():
    waiver = Waiver("No scope in the house.", "Isa Renk")
    left_out = complaint(required=(RequiredStep("bus_signal", critical=True, waiver=waiver),))
    order = changed(complaints=(left_out,), location=Location("QRG", single_person=True))

    assert "This shop has one person, so nobody else could approve this." in sheet_of(order).unverified[0]


def test_safety_work_without_a_second_person_is_told():
    work = replace(PROVED.work[0], safety=True)

    assert sheet_of(changed(work=(work,))).unverified == (
        "The work on the end plug bears on safety. No second person has checked it.",
    )


def test_gaps_of_the_shops_own_record_are_not_told():
    unnamed = tuple(replace(test, instrument="") for test in PROVED.tests)

    assert sheet_of(changed(tests=unnamed)).unverified == ()


def test_an_assumption_that_is_a_sentence_has_one_stop():
    assumed = Assumption("A1", "Some loss is normal, nothing leaks.", "C1")

    (told,) = sheet_of(changed(assumptions=(assumed,))).unverified

    assert told == "We rely on this without a test: “Some loss is normal, nothing leaks”."


def test_an_assumption_is_told():
    assumed = Assumption("A1", "The gateway was renewed last year", "C1")

    assert sheet_of(changed(assumptions=(assumed,))).unverified == (
        "We rely on this without a test: “The gateway was renewed last year”.",
    )


def test_declined_safety_work_warns_before_anything_else():
    item = Declined("D1", "lower arm", "safety", system="suspension", informed_on=date(2026, 7, 1), test="T1")
    sheet = sheet_of(changed(declined=(item,)))

    assert sheet.warnings[0].startswith(
        "We advise against driving until this is repaired, because: the lower arm affects safety"
    )
    assert sheet.warnings[0].endswith("You chose not to have it done today.")
    assert sheet.declined[0].sentences == (
        "We told you on 1\u00a0July\u00a02026.",
        "No date to look again is set. Please call us for one.",
    )


def test_declined_comfort_work_does_not_warn():
    sheet = sheet_of(changed(declined=(Declined("D1", "radio", "comfort"),)))

    assert (sheet.warnings, sheet.declined[0].risk) == ((), "affects comfort only")


def test_a_complaint_that_was_declined_says_so():
    item = Declined("D1", "gateway", "progressive", system="network", test="T1")
    sheet = sheet_of(
        changed(work=(), trials=(), declined=(item,), tests=PROVED.tests[:1], outcome="declined_all")
    )

    assert sheet.answer.did == "Nothing yet: you chose not to have it done."
    assert sheet.proof[0].outcome == "known and declined"
    assert sheet.proof[0].carried_by == "Resistance of the data line, outside limits"


def test_one_declined_part_is_told_once():
    items = (Declined("D1", "radio", "comfort"), Declined("D2", "radio", "comfort"))

    assert len(sheet_of(changed(declined=items)).declined) == 1


def test_a_fault_that_never_showed_gets_its_sentence():
    quiet = complaint(attempts=(Attempt(MONDAY, "not_reproduced", "Cold start.", n=3, k=0),), required=())
    sheet = sheet_of(changed(complaints=(quiet,), causes=(), work=(), trials=(), outcome="no_fault_found"))

    assert sheet.watch[0].startswith("The fault did not show itself while the vehicle was here.")
    assert "it did not show in 3\u00a0tries" in sheet.seen[0]


def test_an_agreed_return_is_told():
    planned = PlannedReturn("P1", date(2026, 7, 1), date(2026, 8, 1), "look at the belt")

    assert (
        "We agreed to look again by 1\u00a0August\u00a02026: look at the belt."
        in sheet_of(changed(planned_return=(planned,))).watch
    )


@pytest.mark.parametrize(
    ("work", "words"),
    [
        (Work("W2", "replace", "front wheel bearing", "maintenance", TUESDAY), "wheel nuts"),
        (Work("W2", "replace", "battery", "maintenance", TUESDAY), "battery was disconnected"),
        (Work("W2", "reset", "oil lamp", "maintenance", TUESDAY), "self-tests may not be complete"),
        (Work("W2", "repair", "airbag plug", "maintenance", TUESDAY), "airbags or belt tensioners"),
        (Work("W2", "repair", "high voltage cable", "maintenance", TUESDAY), "high voltage"),
        (Work("W2", "replace", "belt", "maintenance", TUESDAY, part=Part("Belt")), "new, used or rebuilt"),
    ],
)
def test_the_caution_of_the_work_prints(work, words):
    cautions = sheet_of(changed(work=(*PROVED.work, work))).cautions

    assert any(words in line for line in cautions)


def test_an_unproved_repair_prints_its_caution():
    assert any("not yet proved" in line for line in sheet_of(changed(trials=())).cautions)


def test_a_proved_repair_prints_none():
    assert sheet_of(PROVED).cautions == ()


def test_coming_back_has_three_steps_and_a_phone_number():
    back = sheet_of(PROVED).back

    assert (len(back.steps), back.phone) == (3, "01632 960 117")


def test_the_foot_keeps_the_limits_of_the_paper():
    foot = " ".join(sheet_of(PROVED).foot)

    assert "Systems not listed were not tested." in foot
    assert "Check your local law." in foot
    assert "it is not legal advice" in foot


def test_what_it_cost_and_what_was_agreed():
    order = changed(
        charges=Charges("GBP", "121.93", "14.80", "136.73"), authorisations=(Authorisation(90, MONDAY),)
    )
    sheet = sheet_of(order)

    assert sheet.agreed == (
        "You agreed to 1\u00a0h 30\u00a0min of finding the fault on 29\u00a0June\u00a02026.",
    )
    assert [line.amount for line in sheet.cost] == ["£121.93", "£14.80", "£136.73"]


def test_a_charge_that_is_no_number_is_told_as_written():
    assert sheet_of(changed(charges=Charges("GBP", total="goodwill"))).cost[0].amount == "goodwill"


def test_a_job_that_came_back_says_after_which():
    sheet = sheet_of(PROVED, returned=Returned("1002", "16 days", "312 miles"))

    assert sheet.came_back == "It came back to us 16 days and 312 miles after job 1002."


def test_two_complaints_are_kept_apart():
    other = Complaint("C2", "symptom", "It squeaks.", system="brakes_friction", symptom="squeak")
    sheet = sheet_of(changed(complaints=(*PROVED.complaints, other)))

    assert [one.about for one in sheet.found] == ["Messages lost between units", "Squeak"]
    assert sheet.answer.sure == (
        "Messages lost between units: Confirmed by test. Proved gone. Squeak: Not found. Not found, watching."
    )


def test_a_service_has_no_fault_to_prove():
    service = Complaint("C1", "maintenance", "Yearly service, please.")
    order = changed(complaints=(service,), tests=(), causes=(), trials=(), work=())
    sheet = sheet_of(order)

    assert sheet.answer.wrong == "You reported no fault."
    assert sheet.asked[0].restated == "We took this as maintenance."


def test_an_open_job_says_that_it_is_open():
    sheet = sheet_of(changed(returned=None, odo_out=None))

    assert (sheet.is_open, sheet.left) == (True, "")


def test_the_customers_chain_is_joined_when_the_repair_is_proved():
    assert {step.state for step in sheet_of(PROVED).steps} == {"joined"}


def test_an_unnamed_instrument_opens_nothing_for_the_customer():
    unnamed = tuple(replace(test, instrument="") for test in PROVED.tests)

    assert {step.state for step in sheet_of(changed(tests=unnamed)).steps} == {"joined"}


def test_a_missing_proof_opens_the_last_link():
    steps = sheet_of(changed(tests=PROVED.tests[:1], trials=())).steps

    assert (steps[-1].name, steps[-1].state) == ("How we know", "open")
