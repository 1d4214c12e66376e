"""The least valid record of each kind."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import factory
from factory.django import DjangoModelFactory

from diagnostics.models import (
    Assumption,
    Attempt,
    Calibration,
    Capture,
    Cause,
    CircuitMap,
    Claim,
    CodeMeaning,
    CustomerTrial,
    Event,
    Explanation,
    FaultSearch,
    FollowUp,
    Instrument,
    InstrumentRange,
    KeptAudit,
    MapPhoto,
    MapPlace,
    MapTest,
    MapWire,
    MapZone,
    Protocol,
    ProtocolAim,
    ProtocolStep,
    Recount,
    RequiredStep,
    ReturnCost,
    ReturnReview,
    ReturnVisit,
    Scan,
    ScanCode,
    ScanModule,
    SearchTiming,
    Suspect,
    TestKind,
    TestRun,
    WatchedCheck,
    WatchedJob,
)
from invoicing.models import IssuedDocument, MonthlyReport, ReportLetter
from shop.models import (
    Complaint,
    Customer,
    DeclinedItem,
    Location,
    OdometerReading,
    OutsideEvent,
    PartFitted,
    Photo,
    PlannedReturn,
    RepairOrder,
    StaffMember,
    Symptom,
    System,
    TimeEntry,
    Vehicle,
    WorkItem,
)


class LocationFactory(DjangoModelFactory):
    class Meta:
        model = Location

    code = factory.Sequence(lambda n: f"L{n}")
    name = "Quarry Road Garage"


class StaffFactory(DjangoModelFactory):
    class Meta:
        model = StaffMember

    username = factory.Sequence(lambda n: f"person{n}")
    signs_as = factory.Sequence(lambda n: f"Person {n}")
    location = factory.SubFactory(LocationFactory)


class AdvisorFactory(StaffFactory):
    is_advisor = True


class TechnicianFactory(StaffFactory):
    is_technician = True


class OwnerFactory(StaffFactory):
    is_owner = True


class CustomerFactory(DjangoModelFactory):
    class Meta:
        model = Customer

    code = factory.Sequence(lambda n: f"K{n}")
    name = "Hanne Orrick"


class VehicleFactory(DjangoModelFactory):
    class Meta:
        model = Vehicle

    code = factory.Sequence(lambda n: f"V{n}")


class OrderFactory(DjangoModelFactory):
    class Meta:
        model = RepairOrder

    number = factory.Sequence(lambda n: f"{5000 + n}")
    location = factory.SubFactory(LocationFactory)
    vehicle = factory.SubFactory(VehicleFactory)
    opened_on = date(2026, 3, 2)


class ComplaintFactory(DjangoModelFactory):
    class Meta:
        model = Complaint

    order = factory.SubFactory(OrderFactory)
    ref = factory.Sequence(lambda n: f"C{n}")
    text = "It will not start."


class TestRunFactory(DjangoModelFactory):
    __test__ = False

    class Meta:
        model = TestRun

    order = factory.SubFactory(OrderFactory)
    ref = factory.Sequence(lambda n: f"T{n}")
    code = "rest_voltage"
    phase = "before"
    kind = "numeric"
    done_on = date(2026, 3, 2)


class WorkItemFactory(DjangoModelFactory):
    class Meta:
        model = WorkItem

    order = factory.SubFactory(OrderFactory)
    ref = factory.Sequence(lambda n: f"W{n}")
    kind = "replace"
    component = "battery"
    reason = "cause"
    done_on = date(2026, 3, 2)


class InstrumentFactory(DjangoModelFactory):
    class Meta:
        model = Instrument

    code = factory.Sequence(lambda n: f"meter {n}")
    kind = "multimeter"


class InstrumentRangeFactory(DjangoModelFactory):
    class Meta:
        model = InstrumentRange

    instrument = factory.SubFactory(InstrumentFactory)
    unit = "V"
    low = Decimal(0)
    high = Decimal(60)
    accuracy_text = "0.5 % + 2"


class CalibrationFactory(DjangoModelFactory):
    class Meta:
        model = Calibration

    instrument = factory.SubFactory(InstrumentFactory)
    done_on = date(2026, 3, 2)
    in_tolerance = True
    kept_by = "Tobin Marl"
    kept_at = datetime(2026, 3, 2, 12, tzinfo=UTC)


class InsideFactory(DjangoModelFactory):
    class Meta:
        abstract = True

    order = factory.SubFactory(OrderFactory)


class PartFactory(DjangoModelFactory):
    class Meta:
        model = PartFitted

    work = factory.SubFactory(WorkItemFactory)


class PhotoFactory(InsideFactory):
    class Meta:
        model = Photo

    ref = factory.Sequence(lambda n: f"P{n}")
    place = "seen"
    caption = "Arcing at the lead"
    sha256 = "a" * 64
    small_sha256 = "b" * 64
    width = 400
    height = 300
    entered_by = "Isa Renk"
    entered_at = datetime(2026, 3, 2, 12, tzinfo=UTC)


class DeclinedItemFactory(InsideFactory):
    class Meta:
        model = DeclinedItem

    ref = factory.Sequence(lambda n: f"D{n}")
    component = "front brake pads"
    risk = "safety"


class PlannedReturnFactory(InsideFactory):
    class Meta:
        model = PlannedReturn

    ref = factory.Sequence(lambda n: f"P{n}")
    recorded_on = date(2026, 3, 2)


class OutsideEventFactory(InsideFactory):
    class Meta:
        model = OutsideEvent

    kind = "damage"
    happened_on = date(2026, 3, 2)


class TimeEntryFactory(InsideFactory):
    class Meta:
        model = TimeEntry

    done_by = "Isa Renk"
    done_on = date(2026, 3, 2)
    minutes = 30
    kind = "diagnosis"


class OdometerReadingFactory(DjangoModelFactory):
    class Meta:
        model = OdometerReading

    vehicle = factory.SubFactory(VehicleFactory)
    moment = "other"
    value = Decimal(61_516)
    unit = "km"
    read_on = date(2026, 3, 2)


class SystemFactory(DjangoModelFactory):
    class Meta:
        model = System

    code = factory.Sequence(lambda n: f"system_{n}")
    name = factory.Sequence(lambda n: f"System {n}")


class SymptomFactory(DjangoModelFactory):
    class Meta:
        model = Symptom

    code = factory.Sequence(lambda n: f"symptom_{n}")
    system = factory.SubFactory(SystemFactory)
    name = factory.Sequence(lambda n: f"Symptom {n}")


class SuspectFactory(DjangoModelFactory):
    class Meta:
        model = Suspect

    complaint = factory.SubFactory(ComplaintFactory)
    component = "battery"


class CauseFactory(InsideFactory):
    class Meta:
        model = Cause

    ref = factory.Sequence(lambda n: f"U{n}")
    complaint_ref = "C1"
    component = "battery"


class AssumptionFactory(InsideFactory):
    class Meta:
        model = Assumption

    ref = factory.Sequence(lambda n: f"A{n}")
    text = "The fuse was never pulled."


class EventFactory(InsideFactory):
    class Meta:
        model = Event

    ref = factory.Sequence(lambda n: f"E{n}")
    kind = "intervention"
    what = "The fuse was pulled."
    happened_on = date(2026, 3, 2)


class ClaimFactory(InsideFactory):
    class Meta:
        model = Claim

    ref = factory.Sequence(lambda n: f"M{n}")
    complaint_ref = "C1"
    event_ref = "E1"
    role = "fix"


class ScanFactory(InsideFactory):
    class Meta:
        model = Scan

    ref = factory.Sequence(lambda n: f"S{n}")
    phase = "before"
    done_on = date(2026, 3, 2)
    kept_at = datetime(2026, 3, 2, 12, tzinfo=UTC)
    text = "P0171"


class ScanModuleFactory(DjangoModelFactory):
    class Meta:
        model = ScanModule

    scan = factory.SubFactory(ScanFactory)
    position = factory.Sequence(lambda n: n)
    line = 1


class ScanCodeFactory(DjangoModelFactory):
    class Meta:
        model = ScanCode

    module = factory.SubFactory(ScanModuleFactory)
    position = factory.Sequence(lambda n: n)
    code = "P0171"
    line = 1


class CodeMeaningFactory(DjangoModelFactory):
    class Meta:
        model = CodeMeaning

    code = factory.Sequence(lambda n: f"P{n:04d}")
    meaning = "mixture too lean"


class AttemptFactory(DjangoModelFactory):
    class Meta:
        model = Attempt

    complaint = factory.SubFactory(ComplaintFactory)
    done_on = date(2026, 3, 2)
    outcome = "reproduced"


class CustomerTrialFactory(InsideFactory):
    class Meta:
        model = CustomerTrial

    complaint_ref = "C1"
    since_on = date(2026, 3, 4)
    until_on = date(2026, 3, 18)
    told_by = "Hanne Orrick"
    taken_by = "Maud Kerrow"
    told_on = date(2026, 3, 18)


class ExplanationFactory(InsideFactory):
    class Meta:
        model = Explanation

    rule = "R1"
    subject = "C1"
    reason = "The car would not move."
    signed_by = "Isa Renk"


class TestKindFactory(DjangoModelFactory):
    __test__ = False

    class Meta:
        model = TestKind

    code = factory.Sequence(lambda n: f"test_{n}")
    system = "battery"
    name = factory.Sequence(lambda n: f"Test {n}")
    kind = "numeric"
    unit = "V"


class ProtocolFactory(DjangoModelFactory):
    class Meta:
        model = Protocol

    system = "battery"
    symptom = factory.Sequence(lambda n: f"symptom_{n}")


class ProtocolStepFactory(DjangoModelFactory):
    class Meta:
        model = ProtocolStep

    protocol = factory.SubFactory(ProtocolFactory)
    position = 0
    test_code = "rest_voltage"


class RequiredStepFactory(DjangoModelFactory):
    class Meta:
        model = RequiredStep

    complaint = factory.SubFactory(ComplaintFactory)
    code = "rest_voltage"


class ReturnVisitFactory(DjangoModelFactory):
    class Meta:
        model = ReturnVisit

    index_order = factory.SubFactory(OrderFactory)
    return_order = factory.SubFactory(OrderFactory)
    level = "S"
    in_window = "yes"
    verdict = "comeback"
    reason = "same complaint"
    computed_at = datetime(2026, 3, 2, 12, tzinfo=UTC)


class DocumentFactory(DjangoModelFactory):
    class Meta:
        model = IssuedDocument

    order = factory.SubFactory(OrderFactory)
    kind = "findings"
    version = factory.Sequence(lambda n: n + 1)
    data = factory.LazyAttribute(lambda paper: {"job": paper.order.number})
    data_sha256 = "a" * 64
    template_version = "1"
    issued_at = datetime(2026, 3, 2, 12, tzinfo=UTC)
    issued_by = "Maud Kerrow"


class CaptureFactory(InsideFactory):
    class Meta:
        model = Capture

    ref = factory.Sequence(lambda n: f"S{n}")
    title = "Crank sensor"
    phase = "before"
    done_on = date(2026, 3, 2)
    entered_by = "Isa Renk"
    entered_at = datetime(2026, 3, 2, 12, tzinfo=UTC)
    sha256 = factory.Sequence(lambda n: f"{n:064x}")
    size = 100
    original_name = "crank.csv"


class CircuitMapFactory(DjangoModelFactory):
    class Meta:
        model = CircuitMap

    title = "Body line, two hubs"
    topology = "bus"
    made_by = "Isa Renk"
    made_at = datetime(2026, 3, 2, 12, tzinfo=UTC)


class MapZoneFactory(DjangoModelFactory):
    class Meta:
        model = MapZone

    circuit_map = factory.SubFactory(CircuitMapFactory)
    key = factory.Sequence(lambda n: f"zone{n}")
    label = "rear bench out"
    open_minutes = 8
    close_minutes = 6


class MapPlaceFactory(DjangoModelFactory):
    class Meta:
        model = MapPlace

    circuit_map = factory.SubFactory(CircuitMapFactory)
    key = factory.Sequence(lambda n: f"U{n}")
    kind = "module"
    label = "wiper unit"


class MapWireFactory(DjangoModelFactory):
    class Meta:
        model = MapWire

    circuit_map = factory.SubFactory(CircuitMapFactory)
    key = factory.Sequence(lambda n: f"w{n}")
    start = factory.SubFactory(MapPlaceFactory, circuit_map=factory.SelfAttribute("..circuit_map"))
    end = factory.SubFactory(MapPlaceFactory, circuit_map=factory.SelfAttribute("..circuit_map"))


class MapTestFactory(DjangoModelFactory):
    class Meta:
        model = MapTest

    circuit_map = factory.SubFactory(CircuitMapFactory)
    key = factory.Sequence(lambda n: f"unplug_U{n}")
    minutes = 3


class MapPhotoFactory(DjangoModelFactory):
    class Meta:
        model = MapPhoto

    place = factory.SubFactory(MapPlaceFactory)
    caption = "Hub B under the bench floor"
    sha256 = "a" * 64
    small_sha256 = "b" * 64
    width = 400
    height = 300
    entered_by = "Isa Renk"
    entered_at = datetime(2026, 3, 2, 12, tzinfo=UTC)


class FaultSearchFactory(InsideFactory):
    class Meta:
        model = FaultSearch

    ref = factory.Sequence(lambda n: f"F{n}")
    complaint_ref = "C1"
    document = factory.LazyFunction(lambda: {"title": "Body line dead"})
    started_by = "Isa Renk"
    started_at = datetime(2026, 3, 2, 12, tzinfo=UTC)


class SearchTimingFactory(DjangoModelFactory):
    class Meta:
        model = SearchTiming

    search = factory.SubFactory(FaultSearchFactory)
    run_ref = "T1"
    test = "unplug_U4"
    minutes = 3


class WatchedJobFactory(DjangoModelFactory):
    """A job handed back on 1 March 2026 that did not come back."""

    class Meta:
        model = WatchedJob

    order = factory.SubFactory(
        OrderFactory, opened_on=date(2026, 3, 1), returned_on=date(2026, 3, 1), outcome="repaired"
    )
    location = factory.SelfAttribute("order.location")
    vehicle = factory.SelfAttribute("order.vehicle")
    technician = factory.SelfAttribute("order.technician")
    returned_on = factory.SelfAttribute("order.returned_on")
    mature_on = factory.LazyAttribute(lambda job: job.returned_on + timedelta(days=91))
    outcome = factory.SelfAttribute("order.outcome")
    system = "charging"
    symptom = "charge_lamp_on"
    computed_at = datetime(2026, 9, 1, 12, tzinfo=UTC)


class WatchedCheckFactory(DjangoModelFactory):
    class Meta:
        model = WatchedCheck

    job = factory.SubFactory(WatchedJobFactory)
    code = "standing_draw"
    phase = "before"
    complaint_ref = "C1"
    state = "done"
    system = factory.SelfAttribute("job.system")
    symptom = factory.SelfAttribute("job.symptom")


class RecountFactory(DjangoModelFactory):
    class Meta:
        model = Recount

    started_at = datetime(2026, 9, 1, 12, tzinfo=UTC)


class KeptAuditFactory(DjangoModelFactory):
    class Meta:
        model = KeptAudit

    key = factory.Sequence(lambda n: f"audit-{n}")
    asked = factory.LazyFunction(dict)
    body = factory.LazyFunction(dict)
    computed_at = datetime(2026, 9, 1, 12, tzinfo=UTC)
    seconds = 1.0


class ReturnReviewFactory(DjangoModelFactory):
    class Meta:
        model = ReturnReview

    visit = factory.SubFactory(ReturnVisitFactory)
    reviewer = factory.Sequence(lambda n: f"Reviewer {n}")
    primary = "D1"
    escape_point = "test choice"
    reviewed_at = datetime(2026, 9, 1, 12, tzinfo=UTC)


class ReturnCostFactory(DjangoModelFactory):
    class Meta:
        model = ReturnCost

    visit = factory.SubFactory(ReturnVisitFactory)
    currency = "GBP"
    entered_by = "Gwen Aldrake"
    entered_at = datetime(2026, 9, 1, 12, tzinfo=UTC)


class ProtocolAimFactory(DjangoModelFactory):
    class Meta:
        model = ProtocolAim

    protocol = factory.SubFactory(ProtocolFactory)
    text = "The draw test is done before a battery is sold"
    measure = "step_done"
    step_code = "standing_draw"
    starts_on = date(2026, 3, 1)
    by_on = date(2026, 9, 1)
    stated_by = "Gwen Aldrake"
    stated_at = datetime(2026, 3, 1, 12, tzinfo=UTC)


class FollowUpFactory(DjangoModelFactory):
    class Meta:
        model = FollowUp

    order = factory.SubFactory(OrderFactory)
    kind = "unproved"
    subject = "C1"
    due_on = date(2026, 3, 15)
    called_on = date(2026, 3, 16)
    outcome = "gone"
    called_by = "Maud Fenn"
    entered_at = datetime(2026, 3, 16, 12, tzinfo=UTC)


class MonthlyReportFactory(DjangoModelFactory):
    class Meta:
        model = MonthlyReport

    month = date(2026, 2, 1)
    as_of = date(2026, 3, 2)
    data = factory.LazyFunction(lambda: {"in_one_line": "3 of 41 jobs came back."})
    data_sha256 = "c" * 64
    pdf = b"%PDF"
    pdf_sha256 = "d" * 64
    pages = 2
    made_at = datetime(2026, 3, 2, 12, tzinfo=UTC)


class ReportLetterFactory(DjangoModelFactory):
    class Meta:
        model = ReportLetter

    report = factory.SubFactory(MonthlyReportFactory)
    owner = factory.SubFactory(OwnerFactory)
    address = "gwen@quarry-road.example"
    asked_at = datetime(2026, 3, 2, 12, tzinfo=UTC)
