"""Who may open what: one table for every address of the site, walked for every kind of person.

The addresses are taken from the site itself, so a page without a row here fails the suite.
"""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from hashlib import sha256

import pytest
from django.db import transaction
from django.test import Client
from django.urls import get_resolver, resolve

from diagnostics import recording
from diagnostics.circuits import acts, photos
from diagnostics.isolation.circuit import template
from diagnostics.job.forms import FORMS
from diagnostics.models import Protocol, RequiredStep, ReturnVisit, TestKind
from invoicing import issuing
from invoicing.models import CustomerLink, IssuedDocument
from shared.models import AuditEntry
from shared.pictures import Picture
from shop.models import StaffMember, WorkItem
from tests.diagnostics.searching.example import components, example, listens
from tests.diagnostics.signals.recorded import ready_capture
from tests.factories import (
    AdvisorFactory,
    CalibrationFactory,
    ComplaintFactory,
    CustomerFactory,
    FaultSearchFactory,
    InstrumentFactory,
    InstrumentRangeFactory,
    LocationFactory,
    MonthlyReportFactory,
    OrderFactory,
    OwnerFactory,
    ProtocolAimFactory,
    ReportLetterFactory,
    ScanFactory,
    StaffFactory,
    TechnicianFactory,
    VehicleFactory,
)

pytestmark = pytest.mark.django_db

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
TOKEN = "a" * 43

NOBODY = frozenset()
OWNER = frozenset({"owner"})
DESK = frozenset({"advisor", "owner"})
BAY = frozenset({"technician", "owner"})
STAFF = frozenset({"advisor", "technician", "owner"})
ANYBODY = frozenset({"nobody", "no role", "link holder", *STAFF})
PEOPLE = ("nobody", "link holder", "no role", "advisor", "technician", "owner")


@dataclass(frozen=True)
class Page:
    """An address, who may open it, and where it changes something: who may send it."""

    path: str
    opens: frozenset[str]
    sends: frozenset[str] | None = None
    answer: int = 200
    """What it answers those who may open it."""
    answer_signed_in: int | None = None

    def expected(self, person: str) -> int | str:
        """What it must answer this person."""
        is_outside = person in ("nobody", "link holder")
        if person in self.opens:
            return self.answer if is_outside else self.answer_signed_in or self.answer
        return "sign in first" if is_outside else 403


PAGES = {
    # the desk
    "signin": Page("/signin/", ANYBODY, ANYBODY, answer_signed_in=302),
    "signout": Page("/signout/", STAFF | {"no role"}, STAFF | {"no role"}, answer=405),
    "find": Page("/find/?q=nothing", STAFF),
    "order-new": Page("/orders/new/", DESK, DESK),
    "complaint-new": Page("/orders/{order}/complaints/new/", STAFF, STAFF),
    "vehicle-list": Page("/vehicles/", STAFF),
    "vehicle": Page("/vehicles/{vehicle}/", STAFF),
    "number-said": Page("/vehicles/number/?vin=1M8GDM9AXKP042788", STAFF),
    "vehicle-edit": Page("/vehicles/{vehicle}/edit/", DESK, DESK),
    "customer-list": Page("/customers/", STAFF),
    "customer": Page("/customers/{customer}/", STAFF),
    "customer-edit": Page("/customers/{customer}/edit/", DESK, DESK),
    # the job; its forms have a table of their own below
    "front": Page("/", STAFF),
    "order-list": Page("/orders/", STAFF),
    "order": Page("/orders/{order}/", STAFF),
    "order-similar": Page("/orders/{order}/similar/", STAFF),
    "order-bay": Page("/orders/{order}/bay/", BAY),
    "order-record": Page("/orders/{order}/record/note/", STAFF, STAFF),
    "order-record-row": Page("/orders/{order}/record/disposition/{run}/", BAY, BAY),
    "photo": Page("/photos/{photo}/", STAFF),
    "photo-small": Page("/photos/{photo}/small/", STAFF),
    # recorded signals
    "sums": Page("/sums/", STAFF),
    "sum": Page("/sums/wire.voltage_drop/", STAFF),
    "capture": Page("/captures/{capture}/", STAFF),
    "capture-state": Page("/captures/{capture}/state/", STAFF),
    "capture-window": Page("/captures/{capture}/window/?from=0&to=1&width=10", STAFF),
    "capture-drawing": Page("/captures/{capture}/drawing.svg", STAFF),
    "capture-file": Page("/captures/{capture}/file/", STAFF),
    "capture-lay-against": Page("/captures/{capture}/against/", STAFF, answer_signed_in=302),
    "capture-against": Page("/captures/{capture}/against/{other}/", STAFF),
    # the library
    "testkind-list": Page("/tests/", STAFF),
    "testkind": Page("/tests/rest_voltage/", STAFF),
    "testkind-edit": Page("/tests/rest_voltage/edit/", OWNER, OWNER),
    "protocol-list": Page("/protocols/", STAFF),
    "protocol": Page("/protocols/{protocol}/", STAFF),
    "protocol-edit": Page("/protocols/{protocol}/edit/", OWNER, OWNER),
    "instrument-list": Page("/instruments/", STAFF),
    "instrument-new": Page("/instruments/new/", BAY, BAY),
    "instrument": Page("/instruments/{instrument}/", STAFF),
    "instrument-edit": Page("/instruments/{instrument}/edit/", BAY, BAY),
    "instrument-due": Page("/instruments/due/", STAFF),
    "range-new": Page("/instruments/{instrument}/ranges/new/", BAY, BAY),
    "range-edit": Page("/instruments/{instrument}/ranges/{range}/", BAY, BAY),
    "calibration-new": Page("/instruments/{instrument}/calibrations/new/", BAY, BAY),
    "calibration-readings": Page("/calibrations/{calibration}/readings/", STAFF),
    # the search for a fault: the desk reads it, for the customer's decision
    "search-new": Page("/orders/{order}/search/new/", BAY, BAY),
    "search": Page("/orders/{order}/search/{search}/", STAFF),
    "search-card": Page("/orders/{order}/search/{search}/card/", STAFF),
    "search-problem": Page("/orders/{order}/search/{search}/problem/", STAFF),
    "search-act": Page("/orders/{order}/search/{search}/act/stop/", BAY, BAY),
    # circuit maps: the desk reads them, those who diagnose draw them
    "circuit-list": Page("/circuits/", STAFF),
    "circuit-new": Page("/circuits/new/", BAY, BAY),
    "circuit": Page("/circuits/{map}/", STAFF),
    "circuit-edit": Page("/circuits/{map}/edit/", BAY, BAY),
    "circuit-copy": Page("/circuits/{map}/copy/", BAY, BAY),
    "circuit-state": Page("/circuits/{map}/state/", BAY, BAY, answer=405),
    "circuit-tests": Page("/circuits/{map}/tests/", STAFF),
    "circuit-test": Page("/circuits/{map}/tests/unplug_roof_unit/", BAY, BAY),
    "circuit-learn": Page("/circuits/{map}/learn/", BAY, BAY, answer=405),
    "circuit-add": Page("/circuits/{map}/place/{place}/add/", BAY, BAY),
    "circuit-fitted": Page("/circuits/{map}/place/{place}/fitted/", BAY, BAY, answer=405),
    "circuit-photos": Page("/circuits/{map}/place/{place}/photos/", BAY, BAY, answer=405),
    "circuit-part-new": Page("/circuits/{map}/zone/new/", BAY, BAY),
    "circuit-part": Page("/circuits/{map}/place/{place}/", BAY, BAY),
    "map-photo": Page("/circuits/photos/{map_photo}/", STAFF),
    "map-photo-small": Page("/circuits/photos/{map_photo}/small/", STAFF),
    "map-photo-remove": Page("/circuits/photos/{map_photo}/remove/", BAY, BAY, answer=405),
    # scans: the desk reads them, those who diagnose keep them
    "scan-new": Page("/orders/{order}/scans/new/", BAY, BAY),
    "scan": Page("/scans/{scan}/", STAFF),
    "scan-text": Page("/scans/{scan}/text/", STAFF),
    "scan-compare": Page("/scans/{scan}/compare/?with={other_scan}", STAFF),
    "scan-assume": Page("/scans/{scan}/assume/", BAY, BAY, answer=405),
    "scan-supersede": Page("/scans/{scan}/supersede/", BAY, BAY, answer=405),
    "codemeaning-list": Page("/codes/", STAFF),
    "codemeaning-import": Page("/codes/import/", BAY, BAY),
    # calls after a job are anybody's; what was changed is the owner's
    "calls": Page("/calls/", STAFF),
    "call": Page("/calls/{called}/unproved/C1/", STAFF, STAFF),
    "audit-learning": Page("/audit/learning/", OWNER),
    "learning-proposals": Page("/audit/learning/proposals/", OWNER),
    "learning-change": Page("/audit/learning/{aim}/", OWNER, OWNER),
    # returns: a technician may look, the owner decides
    "return-list": Page("/returns/", STAFF),
    "return": Page("/returns/{return}/", BAY, BAY),
    "return-apart": Page("/returns/{return}/apart/", BAY, BAY, answer=405),
    "return-look": Page("/returns/{return}/look/", OWNER, OWNER, answer=405),
    "return-cost": Page("/returns/{return}/cost/", OWNER, OWNER, answer=405),
    "audit": Page("/audit/", OWNER),
    "audit-rates": Page("/audit/rates/", OWNER),
    "audit-people": Page("/audit/people/", OWNER),
    "audit-jobs": Page("/audit/jobs/", OWNER),
    "audit-steps": Page("/audit/steps/", OWNER),
    "audit-step": Page("/audit/steps/stored_codes/before/", OWNER),
    "audit-signals": Page("/audit/signals/", OWNER),
    "audit-mine": Page("/audit/mine/", BAY),
    "audit-my-jobs": Page("/audit/mine/jobs/", BAY),
    "audit-recount": Page("/audit/recount/", OWNER, OWNER),
    "audit-reviews": Page("/audit/reviews/", BAY),
    "audit-agreement": Page("/audit/agreement/", OWNER),
    "audit-costs": Page("/audit/costs/", OWNER),
    "audit-costs-returns": Page("/audit/costs/returns/", OWNER),
    "audit-settings": Page("/audit/settings/", OWNER, OWNER),
    # papers
    "paper": Page("/orders/{order}/papers/findings/", STAFF),
    "paper-issue": Page("/orders/{order}/papers/findings/issue/", STAFF, STAFF, answer=405),
    "link-make": Page("/orders/{order}/papers/findings/link/", DESK, DESK, answer=405),
    "link-revoke": Page("/links/{link}/revoke/", DESK, DESK, answer=405),
    "document": Page("/documents/{document}.pdf", STAFF),
    "document-make": Page("/documents/{document}/make/", STAFF, STAFF, answer=405),
    "report-list": Page("/audit/reports/", OWNER),
    "report-make": Page("/audit/reports/make/", OWNER, OWNER, answer=405),
    "report-pdf": Page("/audit/reports/{report}.pdf", OWNER),
    "letter-again": Page("/audit/letters/{letter}/again/", OWNER, OWNER, answer=405),
    # the customer's own pages
    "customer-link": Page("/c/{token}/", ANYBODY),
    "customer-document": Page("/c/{token}/findings.pdf", ANYBODY),
    # every part in every state; served only while debugging
    "styleguide": Page("/styleguide/", STAFF | {"no role"}, answer=404),
}

# Forms of a job that the desk may use too; every other one is for those who diagnose.
FORMS_OF_EVERYBODY = {
    "note", "attempt", "attempt-correction", "declined", "declined-follow-up", "minutes", "hand-off-taken",
    "photo", "photo-set-aside", "planned-return", "outside-event", "customer-trial", "promise", "technician",
    "waiting", "approval", "waiver-approval", "hand-back",
}  # fmt: skip


@pytest.fixture(autouse=True)
def _own_shelf(settings, tmp_path):
    settings.CAPTURES_DIR = tmp_path / "captures"


@pytest.fixture
def people():
    location = LocationFactory()
    return {
        "no role": StaffFactory(signs_as="Perran Gall", location=location),
        "advisor": AdvisorFactory(signs_as="Maud Kerrow", location=location),
        "technician": TechnicianFactory(signs_as="Isa Renk", location=location),
        "owner": OwnerFactory(signs_as="Gwen Aldrake", location=location),
    }


@pytest.fixture
def order(people):
    vehicle = VehicleFactory(plate="QX 4471", make="Norvane")
    return OrderFactory(
        location=people["owner"].location,
        vehicle=vehicle,
        customer=CustomerFactory(),
        technician="Tobin Marl",
    )


@pytest.fixture
def rows(order, people, settings, tmp_path):
    """One record of each kind on the order, by the word of its form."""
    settings.PHOTOS_DIR = tmp_path / "photos"
    by = {"by": people["technician"], "at": NOON}
    complaint = ComplaintFactory(order=order, ref="C1")
    step = RequiredStep.objects.create(
        complaint=complaint, position=0, code="rest_voltage", phase="before", critical=True
    )
    run = recording.record_test(
        order, code="rest_voltage", phase="before", kind="numeric", value=Decimal("12.05"), unit="V", **by
    )
    attempt = recording.record_attempt(complaint, outcome="reproduced", conditions="cold", k=1, n=1, **by)
    suspect = recording.add_suspect(complaint, component="battery", **by)
    cause = recording.name_cause(order, complaint_ref="C1", component="battery", evidence=["T1"], **by)
    assumption = recording.add_assumption(order, text="The battery is new.", **by)
    recording.add_work(order, kind="replace", component="battery", reason="cause", **by)
    declined = recording.decline(order, component="tyre", risk="comfort", **by)
    handed = recording.hand_off(
        order, complaint_ref="C1", receiver="Gwen Aldrake", known="It draws.", ruled_out=[], suspected=[],
        next_step="Fuses.", **by,
    )  # fmt: skip
    recorded = ready_capture(order=order)
    explained = recording.explain(order, rule="R2", subject="C1", reason="Never seen here.", **by)
    return {
        "attempt-correction": attempt.pk,
        "suspect-state": suspect.pk,
        "cause-correction": cause.pk,
        "assumption-settled": assumption.pk,
        "assumption-accepted": assumption.pk,
        "work-correction": WorkItem.objects.get(order=order).pk,
        "declined-follow-up": declined.pk,
        "hand-off-taken": handed.pk,
        "approval": explained.pk,
        "capture-correction": recorded.pk,
        "capture-sheet": recorded.pk,
        "capture-aside": recorded.pk,
        "capture-again": recorded.pk,
        "waiver": step.pk,
        "waiver-approval": step.pk,
        "correction": run.pk,
        "disposition": run.pk,
        "photo-set-aside": recording.add_photos(
            order, [Picture(b"large", b"small", 4, 3)], place="seen", caption="Arcing", **by
        )[0].pk,
    }


@pytest.fixture
def places(order, rows, people):
    """What stands in the braces of an address."""
    TestKind.objects.create(code="rest_voltage", name="Battery at rest", kind="numeric", unit="V")
    later = OrderFactory(location=order.location, vehicle=order.vehicle, opened_on=date(2026, 3, 18))
    visit = ReturnVisit.objects.create(
        index_order=order, return_order=later, level="S", in_window="true", verdict="comeback",
        reason="same_complaint", counts=True, computed_at=NOON,
    )  # fmt: skip
    return {
        "order": order.pk,
        "vehicle": order.vehicle_id,
        "customer": order.customer_id,
        "run": rows["disposition"],
        "photo": rows["photo-set-aside"],
        "capture": rows["capture-sheet"],
        "other": ready_capture(order=order).pk,
        "protocol": Protocol.objects.create(system="battery", symptom="flat_after_standing", made_at=NOON).pk,
        "instrument": (instrument := InstrumentFactory()).pk,
        "range": InstrumentRangeFactory(instrument=instrument).pk,
        "calibration": CalibrationFactory(instrument=instrument).pk,
        "return": visit.pk,
        "called": called(people).pk,
        "aim": ProtocolAimFactory().pk,
        "scan": ScanFactory(order=order, ref="S1").pk,
        "search": running_search(order).pk,
        "other_scan": ScanFactory(order=order, ref="S2").pk,
        "document": issued(order).pk,
        "report": (report := MonthlyReportFactory()).pk,
        "letter": ReportLetterFactory(report=report, owner=people["owner"]).pk,
        **circuit_map(people["technician"]),
        "token": TOKEN,
        "link": link_to(order, TOKEN).pk,
    }


def called(people):
    """A job that was handed back, so that its customer can be called."""
    order = OrderFactory(location=people["owner"].location, returned_on=date(2026, 3, 3))
    return ComplaintFactory(order=order, ref="C1").order


def running_search(order):
    """A search of a complaint beside the one that the forms of the job speak of."""
    document = example(hard=True)
    return FaultSearchFactory(
        order=order,
        complaint_ref=ComplaintFactory(order=order, ref="C9", position=9).ref,
        document=document,
        listens=listens(document),
        components=components(document),
    )


def circuit_map(by):
    """A circuit map that can be used, a place of it and a photo of that place."""
    drawn = acts.make_map(
        by=by, at=NOON, about={"title": "Body line"}, circuit=template("single_star", "roof unit\nseat unit")
    )
    hub = drawn.places.get(kind="hub")
    (photo,) = photos.add_photos(hub, [Picture(b"large", b"small", 4, 3)], by=by, at=NOON, caption="Hub")
    return {"map": drawn.pk, "place": hub.pk, "map_photo": photo.pk}


def issued(order):
    """A findings sheet of the order as issued, with a file that stands for its PDF."""
    made = issuing.issue(order, "findings", by=StaffMember.objects.get(is_owner=True), at=NOON)
    document = IssuedDocument.objects.get(pk=made.pk)
    document.pdf, document.pdf_sha256, document.made_at = b"%PDF-", "0" * 64, NOON
    document.save()
    return document


def link_to(order, token):
    return CustomerLink.objects.create(
        order=order,
        token_sha256=sha256(token.encode()).hexdigest(),
        made_at=NOON,
        made_by="Maud Kerrow",
        expires_at=datetime.now(UTC) + timedelta(days=30),
    )


@pytest.fixture
def clients(people, places):
    """A browser for each person; a customer with a link is not signed in."""
    clients = {name: Client() for name in PEOPLE}
    for name, person in people.items():
        clients[name].force_login(person)
    return clients


def patterns(found=None):
    for pattern in found if found is not None else get_resolver().url_patterns:
        if hasattr(pattern, "url_patterns"):
            yield from patterns(pattern.url_patterns)
        else:
            yield pattern


def answered(response):
    if response.status_code == 302 and response.url.startswith("/signin/?next="):
        return "sign in first"
    return response.status_code


def test_every_address_of_the_site_has_a_row():
    assert {pattern.name for pattern in patterns()} == set(PAGES)


def test_each_row_names_the_address_it_speaks_of():
    braces = """order vehicle customer run photo protocol instrument range calibration return document
        link scan search capture map place map_photo called aim report letter"""
    anything = dict.fromkeys(braces.split(), 1) | {"other_scan": 2, "other": 2}
    paths = {
        name: page.path.format(token=TOKEN, **anything).partition("?")[0] for name, page in PAGES.items()
    }

    assert {name: resolve(path).view_name for name, path in paths.items()} == {name: name for name in PAGES}


@pytest.mark.parametrize("name", PAGES)
def test_who_may_open_a_page(name, clients, places):
    page = PAGES[name]
    path = page.path.format(**places)

    answers = {person: answered(client.get(path)) for person, client in clients.items()}

    assert answers == {person: page.expected(person) for person in PEOPLE}


@pytest.mark.parametrize("name", [name for name, page in PAGES.items() if page.sends is not None])
def test_who_may_send_a_page(name, clients, places):
    page = PAGES[name]

    let_in = {person: let_through(client, page.path.format(**places)) for person, client in clients.items()}

    assert let_in == {person: person in page.sends for person in PEOPLE}


def let_through(client, path):
    """Send an empty form, undo what it did, and say whether the page took it."""
    with transaction.atomic():
        entries = AuditEntry.objects.count()
        response = client.post(path)
        taken = answered(response) in (200, 302)
        assert taken or AuditEntry.objects.count() == entries
        transaction.set_rollback(True)
    return taken


def form_page(order, kind, rows):
    row = f"{rows[kind]}/" if FORMS[kind].needs_row else ""
    allowed = STAFF if kind in FORMS_OF_EVERYBODY else BAY
    return Page(f"/orders/{order.pk}/record/{kind}/{row}", allowed)


def test_every_form_of_everybody_exists():
    assert set(FORMS) >= FORMS_OF_EVERYBODY


def test_who_may_open_a_form_of_a_job(clients, order, rows):
    pages = {kind: form_page(order, kind, rows) for kind in FORMS}

    answers = {
        (kind, person): answered(clients[person].get(page.path))
        for kind, page in pages.items()
        for person in PEOPLE
    }

    assert answers == {
        (kind, person): page.expected(person) for kind, page in pages.items() for person in PEOPLE
    }


def test_who_may_send_a_form_of_a_job(clients, order, rows):
    pages = {kind: form_page(order, kind, rows) for kind in FORMS}

    let_in = {
        (kind, person): let_through(clients[person], page.path)
        for kind, page in pages.items()
        for person in PEOPLE
    }

    assert let_in == {
        (kind, person): person in page.opens for kind, page in pages.items() for person in PEOPLE
    }


def test_a_form_of_another_job_s_record_is_not_found(clients, order, rows):
    other = OrderFactory(location=order.location)

    for kind, row in rows.items():
        assert clients["owner"].get(f"/orders/{other.pk}/record/{kind}/{row}/").status_code == 404


def test_a_warranty_is_promised_by_the_desk_alone(clients, order):
    path = f"/orders/{order.pk}/papers/warranty/issue/"

    assert {person: let_through(clients[person], path) for person in STAFF} == {
        "advisor": True,
        "technician": False,
        "owner": True,
    }


def test_a_technician_looks_at_a_return_and_does_not_decide_it(clients, places):
    clients["technician"].post(f"/returns/{places['return']}/", {"state": "confirmed", "note": "It is ours."})

    assert ReturnVisit.objects.get().state == "unreviewed"


@pytest.mark.parametrize("address", ["/returns/", "/returns/?format=csv", "/returns/?sort=technician"])
def test_the_technician_of_a_return_is_named_to_the_owner_alone(address, clients, places):
    named = {person: "Tobin Marl" in words_of(clients[person].get(address)) for person in STAFF}

    assert named == {"advisor": False, "technician": False, "owner": True}


def words_of(response):
    content = response.streaming_content if response.streaming else [response.content]
    return b"".join(content).decode()


def test_a_link_opens_its_own_page_and_nothing_else(clients, order):
    customer = clients["link holder"]

    assert customer.get(f"/c/{TOKEN}/").status_code == 200
    assert not customer.cookies
    assert answered(customer.get(f"/orders/{order.pk}/")) == "sign in first"


def test_a_link_shows_nothing_of_another_job(clients, order, places):
    other = OrderFactory(
        location=order.location,
        vehicle=VehicleFactory(plate="RA 3315", make="Brisolet"),
        customer=CustomerFactory(name="Odell Marrick"),
    )
    ComplaintFactory(order=other, text="It pulls to the left.")
    issued(other)

    shown = words_of(clients["link holder"].get(f"/c/{TOKEN}/"))

    assert "QX 4471" in shown
    assert not [word for word in ("RA 3315", "Brisolet", "Marrick", "pulls", other.number) if word in shown]


@pytest.mark.parametrize("change", [{"revoked_at": NOON, "revoked_by": "Maud Kerrow"}, {"expires_at": NOON}])
def test_a_link_that_ended_shows_nothing(change, clients, places):
    made_earlier = {"made_at": NOON - timedelta(days=1)}
    CustomerLink.objects.filter(pk=places["link"]).update(**made_earlier, **change)

    for path in (f"/c/{TOKEN}/", f"/c/{TOKEN}/findings.pdf"):
        response = clients["link holder"].get(path)
        assert response.status_code == 404
        assert "QX 4471" not in words_of(response)
