"""What can never be stored about tests, causes, protocols and returns, and what signing means."""

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db.models import ProtectedError

from diagnostics.models import Capture, TestRun
from tests.constraints import again, changed, named_in, refused_by
from tests.factories import (
    AssumptionFactory,
    AttemptFactory,
    CalibrationFactory,
    CaptureFactory,
    CauseFactory,
    CircuitMapFactory,
    ClaimFactory,
    CodeMeaningFactory,
    CustomerTrialFactory,
    EventFactory,
    ExplanationFactory,
    FaultSearchFactory,
    FollowUpFactory,
    InstrumentFactory,
    InstrumentRangeFactory,
    MapPhotoFactory,
    MapPlaceFactory,
    MapTestFactory,
    MapWireFactory,
    MapZoneFactory,
    OrderFactory,
    ProtocolAimFactory,
    ProtocolFactory,
    ProtocolStepFactory,
    RecountFactory,
    RequiredStepFactory,
    ReturnCostFactory,
    ReturnReviewFactory,
    ReturnVisitFactory,
    ScanCodeFactory,
    ScanFactory,
    ScanModuleFactory,
    SearchTimingFactory,
    SuspectFactory,
    TestKindFactory,
    TestRunFactory,
    WatchedCheckFactory,
    WatchedJobFactory,
)

pytestmark = pytest.mark.django_db

MONDAY = date(2026, 3, 2)
NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)


def of_one_order():
    visit = ReturnVisitFactory()
    return changed(visit, return_order=visit.index_order)


def counted_twice():
    return changed(again(ReturnVisitFactory(counts=True)), index_order=ReturnVisitFactory().index_order)


def superseded_without_a_reason():
    run = TestRunFactory()
    return changed(run, superseded_by=TestRunFactory(order=run.order))


def inside_itself():
    zone = MapZoneFactory()
    return changed(zone, inside=zone)


def from_and_to_one_place():
    wire = MapWireFactory()
    return changed(wire, end=wire.start)


BROKEN = {
    "watched_chain_known": lambda: changed(WatchedJobFactory(), chain="rusty"),
    "watched_is_an_index_order": lambda: changed(WatchedJobFactory(), outcome="declined_all"),
    "watched_check_state_known": lambda: changed(WatchedCheckFactory(), state="lost"),
    "recount_does_no_more_than_all": lambda: changed(RecountFactory(total=3), done=4),
    "review_first_and_second": lambda: changed(again(ReturnReviewFactory()), reviewer="Somebody else"),
    "review_once_a_person": lambda: changed(again(ReturnReviewFactory()), is_second=True),
    "review_has_primary_code": lambda: changed(ReturnReviewFactory(), primary=""),
    "review_checked_has_name": lambda: changed(ReturnReviewFactory(), checked_on=date(2026, 9, 2)),
    "return_cost_not_negative": lambda: changed(ReturnCostFactory(), goodwill=Decimal("-1")),
    "protocol_aim_ends_after_it_began": lambda: changed(ProtocolAimFactory(), by_on=date(2026, 3, 1)),
    "protocol_aim_of_a_step_names_it": lambda: changed(ProtocolAimFactory(), step_code=""),
    "protocol_aim_decided_has_name": lambda: changed(ProtocolAimFactory(), decision="kept"),
    "follow_up_again_is_later": lambda: changed(FollowUpFactory(), again_on=date(2026, 3, 16)),
    "follow_up_kind_known": lambda: changed(FollowUpFactory(), kind="whim"),
    "circuit_map_has_title": lambda: changed(CircuitMapFactory(), title=""),
    "circuit_map_topology_known": lambda: changed(CircuitMapFactory(), topology="web"),
    "circuit_map_state_known": lambda: changed(CircuitMapFactory(), state="lost"),
    "circuit_map_two_lines_are_a_bus": lambda: changed(CircuitMapFactory(topology="feed"), lines=2),
    "circuit_map_years_in_order": lambda: changed(CircuitMapFactory(), year_from=2019, year_to=2012),
    "mapzone_key_once": lambda: again(MapZoneFactory()),
    "mapzone_has_key": lambda: changed(MapZoneFactory(), key=""),
    "map_zone_minutes_not_negative": lambda: changed(MapZoneFactory(), open_minutes=Decimal("-1")),
    "map_zone_not_inside_itself": inside_itself,
    "mapplace_key_once": lambda: again(MapPlaceFactory()),
    "mapplace_has_key": lambda: changed(MapPlaceFactory(), key=""),
    "map_place_kind_known": lambda: changed(MapPlaceFactory(), kind="cupboard"),
    "map_place_fitted_known": lambda: changed(MapPlaceFactory(), fitted="perhaps"),
    "mapwire_key_once": lambda: again(MapWireFactory()),
    "mapwire_has_key": lambda: changed(MapWireFactory(), key=""),
    "map_wire_joins_two_places": from_and_to_one_place,
    "map_test_key_once": lambda: again(MapTestFactory()),
    "map_test_minutes_above_zero": lambda: changed(MapTestFactory(), minutes=Decimal(0)),
    "map_photo_has_caption": lambda: changed(MapPhotoFactory(), caption=""),
    "faultsearch_ref_once": lambda: changed(again(FaultSearchFactory()), complaint_ref="C2"),
    "faultsearch_has_ref": lambda: changed(FaultSearchFactory(), ref=""),
    "fault_search_one_running": lambda: changed(again(FaultSearchFactory()), ref="F999"),
    "fault_search_has_complaint": lambda: changed(FaultSearchFactory(), complaint_ref=""),
    "fault_search_end_is_whole": lambda: changed(FaultSearchFactory(), ended_at=NOON, end="found"),
    "fault_search_stopped_has_reason": lambda: changed(
        FaultSearchFactory(), ended_at=NOON, ended_by="Isa Renk", end="stopped"
    ),
    "search_timing_once": lambda: again(SearchTimingFactory()),
    "search_timing_not_negative": lambda: changed(SearchTimingFactory(), minutes=Decimal("-1")),
    "capture_ref_once": lambda: again(CaptureFactory()),
    "capture_has_ref": lambda: CaptureFactory.build(ref="", order=OrderFactory()),
    "capture_phase_known": lambda: changed(CaptureFactory(), phase="amid"),
    "capture_bus_known": lambda: changed(CaptureFactory(), bus="smoke"),
    "capture_has_size": lambda: CaptureFactory.build(size=0, order=OrderFactory()),
    "capture_has_title": lambda: changed(CaptureFactory(), title=""),
    "capture_status_has_what_it_says": lambda: changed(CaptureFactory(), status="refused"),
    "capture_set_aside_has_reason": lambda: changed(
        CaptureFactory(), set_aside_at=NOON, set_aside_by="Isa Renk"
    ),
    "capture_on_sheet_is_ready_and_stands": lambda: changed(CaptureFactory(), on_sheet=True),
    "suspect_state_known": lambda: changed(SuspectFactory(), state="likely"),
    "cause_ref_once": lambda: again(CauseFactory()),
    "cause_has_ref": lambda: changed(CauseFactory(), ref=""),
    "assumption_ref_once": lambda: again(AssumptionFactory()),
    "assumption_has_ref": lambda: changed(AssumptionFactory(), ref=""),
    "assumption_status_known": lambda: changed(AssumptionFactory(), status="likely"),
    "event_ref_once": lambda: again(EventFactory()),
    "event_has_ref": lambda: changed(EventFactory(), ref=""),
    "event_kind_known": lambda: changed(EventFactory(), kind="wonder"),
    "claim_ref_once": lambda: again(ClaimFactory()),
    "claim_has_ref": lambda: changed(ClaimFactory(), ref=""),
    "claim_role_known": lambda: changed(ClaimFactory(), role="cure"),
    "instrument_has_code": lambda: changed(InstrumentFactory(), code=""),
    "instrument_range_has_unit": lambda: changed(InstrumentRangeFactory(), unit=""),
    "instrument_range_has_accuracy": lambda: changed(InstrumentRangeFactory(), accuracy_text=""),
    "instrument_range_once": lambda: again(InstrumentRangeFactory()),
    "calibration_error_has_unit": lambda: changed(CalibrationFactory(), found_error=Decimal("0.1")),
    "calibration_out_says_how_far": lambda: changed(CalibrationFactory(), in_tolerance=False),
    "attempt_outcome_known": lambda: changed(AttemptFactory(), outcome="perhaps"),
    "customer_trial_ends_after_it_began": lambda: changed(CustomerTrialFactory(), until_on=date(2026, 3, 3)),
    "customer_trial_counts_each_start_once": lambda: changed(CustomerTrialFactory(starts=1), recurrences=2),
    "customer_trial_unit_known": lambda: changed(CustomerTrialFactory(), distance_unit="nm"),
    "explanation_rule_known": lambda: changed(ExplanationFactory(), rule="R27"),
    "test_kind_version_once": lambda: changed(again(TestKindFactory()), is_current=False),
    "test_kind_one_current": lambda: changed(again(TestKindFactory()), version=2),
    "test_kind_numeric_has_unit": lambda: changed(TestKindFactory(), unit=""),
    "test_kind_kind_known": lambda: changed(TestKindFactory(), kind="smell"),
    "protocol_version_once": lambda: changed(again(ProtocolFactory()), is_current=False),
    "protocol_one_current": lambda: changed(again(ProtocolFactory()), version=2),
    "protocol_step_place_once": lambda: changed(again(ProtocolStepFactory()), phase="after"),
    "protocol_step_once_a_phase": lambda: changed(again(ProtocolStepFactory()), position=1),
    "protocol_at_most_eight_steps": lambda: changed(ProtocolStepFactory(), position=8),
    "protocol_step_phase_known": lambda: changed(ProtocolStepFactory(), phase="amid"),
    "required_step_phase_known": lambda: changed(RequiredStepFactory(), phase="amid"),
    "required_step_waiver_is_marked": lambda: changed(RequiredStepFactory(), waiver_reason="No time."),
    "return_pair_once": lambda: again(ReturnVisitFactory()),
    "return_is_of_another_order": of_one_order,
    "return_counts_once": counted_twice,
    "return_review_excluded_says_which": lambda: changed(
        ReturnVisitFactory(), state="excluded", reviewed_by="Isa Renk"
    ),
    "return_reviewed_has_name": lambda: changed(ReturnVisitFactory(), state="confirmed"),
    "scan_ref_once": lambda: again(ScanFactory()),
    "scan_has_ref": lambda: changed(ScanFactory(), ref=""),
    "scan_phase_known": lambda: changed(ScanFactory(), phase="amid"),
    "scan_has_text": lambda: changed(ScanFactory(), text=""),
    "scan_superseded_has_reason": lambda: changed(ScanFactory(), superseded_by=ScanFactory()),
    "scan_module_place_once": lambda: again(ScanModuleFactory()),
    "scan_code_place_once": lambda: again(ScanCodeFactory()),
    "scan_code_form_known": lambda: changed(ScanCodeFactory(), form="guess"),
    "scan_code_has_code": lambda: changed(ScanCodeFactory(), code=""),
    "code_meaning_has_code": lambda: changed(CodeMeaningFactory(), code=""),
    "code_meaning_has_words": lambda: changed(CodeMeaningFactory(), meaning=""),
    "test_run_ref_once": lambda: again(TestRunFactory()),
    "test_run_has_ref": lambda: changed(TestRunFactory(), ref=""),
    "test_run_phase_known": lambda: changed(TestRunFactory(), phase="amid"),
    "test_run_kind_known": lambda: changed(TestRunFactory(), kind="smell"),
    "test_run_result_known": lambda: changed(TestRunFactory(), result="ok"),
    "test_run_status_known": lambda: changed(TestRunFactory(), status="planned"),
    "test_run_superseded_has_reason": superseded_without_a_reason,
    "test_run_instrument_is_named": lambda: changed(TestRunFactory(), instrument=InstrumentFactory()),
}


def test_old_versions_of_a_test_are_many():
    TestKindFactory(code="rest_voltage", version=1, is_current=False)
    TestKindFactory(code="rest_voltage", version=2, is_current=False)

    assert TestKindFactory(code="rest_voltage", version=3).is_current


def test_pairs_that_do_not_count_may_share_the_returning_order():
    visit = ReturnVisitFactory()

    assert ReturnVisitFactory(return_order=visit.return_order).pk


# --- recorded signals -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    "values",
    [
        {"analysis": None},
        {"overview": None},
        {"computed_at": None},
        {"refusal": "Not a recording."},
        {"status": "waiting", "refusal": "Not a recording."},
        {"status": "refused", "refusal": ""},
        {"status": "lost"},
    ],
)
def test_a_recording_is_what_its_state_says(values):
    whole = {"status": "ready", "analysis": {}, "overview": {}, "computed_at": NOON}

    with refused_by(named_in("diagnostics")["capture_status_has_what_it_says"], Capture):
        changed(CaptureFactory(), **whole | values).save()


@pytest.mark.parametrize(
    "values",
    [
        {"sha256": "0" * 64},
        {"size": 7},
        {"original_name": "other.csv"},
        {"entered_by": "Somebody Else"},
        {"ref": "S99"},
    ],
)
def test_a_recording_stays_as_it_was_uploaded(values):
    capture = Capture.objects.get(pk=CaptureFactory(sha256="a" * 64).pk)

    with pytest.raises(ValidationError, match="stays as it was uploaded"):
        changed(capture, **values).save()


def test_a_recording_is_never_deleted():
    capture = CaptureFactory()

    with pytest.raises(ValidationError, match=r"never deleted\. Set it aside and say why"):
        capture.delete()


def test_an_order_with_a_recording_is_not_deleted():
    capture = CaptureFactory()

    with pytest.raises(ProtectedError, match="Capture"):
        capture.order.delete()


# --- signed readings ------------------------------------------------------------------------------


@pytest.fixture
def signed():
    run = TestRunFactory(ref="T1", value=Decimal("12.30"), unit="V", signed_at=NOON)
    return TestRun.objects.get(pk=run.pk)


@pytest.mark.parametrize(
    "values",
    [
        {"value": Decimal("12.31")},
        {"value": Decimal("12.3")},
        {"unit": "mV"},
        {"ref": "T2"},
        {"code": "battery_load_voltage"},
        {"result": "fail"},
        {"lo": Decimal("12.40")},
        {"done_on": date(2026, 3, 3)},
        {"done_by": "Somebody Else"},
        {"signed_at": None},
        {"status": "not_applicable"},
    ],
)
def test_a_signed_reading_refuses_change(signed, values):
    changed(signed, **values)

    with pytest.raises(ValidationError, match=r"never changed\. Supersede it with a new one and say why"):
        signed.save()

    assert TestRun.objects.get(pk=signed.pk).value == Decimal("12.30")


def test_a_signed_reading_may_be_superseded(signed):
    new = TestRunFactory(order=signed.order, ref="T9")

    changed(signed, superseded_by=new, superseded_reason="Misread.").save()

    assert TestRun.objects.get(pk=signed.pk).superseded_by == new


def test_a_signed_reading_may_be_disposed_of(signed):
    changed(signed, is_disposed=True, disposition_reason="Known.", disposition_by="Isa Renk").save()

    assert TestRun.objects.get(pk=signed.pk).is_disposed


def test_a_reading_may_be_changed_until_it_is_signed():
    run = TestRun.objects.get(pk=TestRunFactory(value=Decimal("12.30")).pk)

    changed(run, value=Decimal("12.31")).save()

    assert TestRun.objects.get(pk=run.pk).value == Decimal("12.31")


def test_a_superseded_reading_leaves_its_id_to_the_new_one(signed):
    new = TestRunFactory(order=signed.order, ref="T9")
    changed(signed, superseded_by=new, superseded_reason="Misread.").save()

    changed(new, ref="T1").save()

    assert set(TestRun.objects.filter(ref="T1")) == {signed, new}


def test_a_signed_reading_is_guarded_from_the_save_that_signed_it():
    run = TestRunFactory(value=Decimal("12.30"), signed_at=NOON)
    run.value = Decimal("12.31")

    with pytest.raises(ValidationError, match="A signed reading is never changed"):
        run.save()


# --- instruments ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("values", "counts"),
    [
        ({"cal_due": date(2026, 3, 3)}, True),
        ({"cal_due": MONDAY}, True),
        ({"cal_due": date(2026, 3, 1)}, False),
        ({"cal_due": None}, False),
        ({"cal_required": False}, True),
        ({"cal_required": False, "withdrawn_on": date(2026, 3, 3)}, True),
        ({"cal_required": False, "withdrawn_on": MONDAY}, False),
    ],
)
def test_a_reading_counts_while_the_instrument_is_calibrated_and_in_use(values, counts):
    assert InstrumentFactory.build(**values).counts_on(MONDAY) is counts
