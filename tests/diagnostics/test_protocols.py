"""The starter library in the shop's own tables, and versions that leave the old ones alone."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest
from django.core.management import call_command

from diagnostics import protocols
from diagnostics.models import Caution, Protocol, ProtocolStep, RequiredStep, TestKind
from diagnostics.models.protocol import MOST_STEPS
from shared.models import AuditEntry
from shop.models import Symptom, System
from tests.factories import (
    ComplaintFactory,
    OwnerFactory,
    ProtocolFactory,
    ProtocolStepFactory,
    TestKindFactory,
    TestRunFactory,
)

pytestmark = pytest.mark.django_db

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
LATER = NOON + timedelta(days=30)


@pytest.fixture
def owner():
    return OwnerFactory(signs_as="Odile Varr")


@pytest.fixture
def library():
    return protocols.load_catalogue(at=NOON)


def rows():
    """All that the starter library fills, as stored."""
    return [
        list(model.objects.order_by("pk").values())
        for model in (System, Caution, Symptom, TestKind, Protocol, ProtocolStep)
    ]


# --- the starter library --------------------------------------------------------------------------


def test_an_empty_shop_gets_enough_of_everything(library):
    assert System.objects.count() >= 20
    assert Symptom.objects.count() >= 60
    assert TestKind.objects.count() >= 80
    assert max(protocol.steps.count() for protocol in Protocol.objects.all()) <= MOST_STEPS == 8
    assert library == {
        "systems": System.objects.count(),
        "cautions": Caution.objects.count(),
        "symptoms": Symptom.objects.count(),
        "tests": TestKind.objects.count(),
        "protocols": Protocol.objects.count(),
    }


@pytest.mark.usefixtures("library")
def test_every_symptom_has_one_protocol_in_force_whose_tests_are_known():
    asking = Protocol.objects.filter(is_current=True).values_list("system", "symptom")
    asked = ProtocolStep.objects.values_list("test_code", flat=True)

    assert sorted(asking) == sorted(Symptom.objects.values_list("system__code", "code"))
    assert set(asked) <= set(TestKind.objects.values_list("code", flat=True))


@pytest.mark.usefixtures("library")
def test_loading_again_adds_nothing_and_changes_nothing():
    before = rows()

    added = protocols.load_catalogue(at=LATER)

    assert set(added.values()) == {0}
    assert rows() == before


@pytest.mark.usefixtures("library")
def test_what_the_shop_changed_stays_when_the_library_is_loaded_again(owner):
    kind = TestKind.objects.get(code="rest_voltage")
    protocols.new_test_version(kind, {"lo": Decimal("12.50")}, by=owner, at=NOON)
    shorter = [("rest_voltage", "before", True)]
    asked = {"system": "battery", "symptom": "flat_after_standing"}
    protocols.new_protocol_version(**asked, steps=shorter, reason="Enough.", by=owner, at=NOON)
    Symptom.objects.filter(code="flat_after_standing").update(name="Flat in the morning")
    before = rows()

    protocols.load_catalogue(at=LATER)

    assert rows() == before
    assert TestKind.objects.get(code="rest_voltage", is_current=True).lo == Decimal("12.50")
    assert protocols.steps_of(Protocol.objects.get(**asked, is_current=True)) == [
        ["rest_voltage", "before", True]
    ]


@pytest.mark.usefixtures("library")
def test_only_what_is_missing_is_added():
    protocol = Protocol.objects.get(symptom="flat_after_standing")
    steps = protocols.steps_of(protocol)
    protocol.delete()
    TestKind.objects.filter(code="rest_voltage").delete()

    added = protocols.load_catalogue(at=LATER)

    assert (added["tests"], added["protocols"]) == (1, 1)
    assert protocols.steps_of(Protocol.objects.get(symptom="flat_after_standing")) == steps


def test_a_symptom_that_the_shop_added_keeps_its_own_protocol():
    own = ProtocolFactory(system="body_closures", symptom="hood_rattles")

    protocols.load_catalogue(at=NOON)

    assert Protocol.objects.filter(symptom="hood_rattles").get() == own


def test_the_command_says_what_it_added(capsys):
    call_command("load_catalogue")

    assert "protocols" in capsys.readouterr().out


# --- a new version of a test ----------------------------------------------------------------------


def test_a_changed_test_is_a_new_version_and_the_old_one_is_kept(owner):
    old = TestKindFactory(code="rest_voltage", lo=Decimal("12.40"), cautions=["acid"], minutes=5)

    new = protocols.new_test_version(old, {"lo": Decimal("12.50")}, by=owner, at=NOON)

    old.refresh_from_db()
    assert (old.version, old.is_current, old.lo) == (1, False, Decimal("12.40"))
    assert (new.version, new.is_current, new.lo) == (2, True, Decimal("12.50"))
    assert (new.made_by, new.made_at) == ("Odile Varr", NOON)
    assert (new.code, new.cautions, new.minutes) == ("rest_voltage", ["acid"], 5)


def test_a_new_version_of_a_test_leaves_only_what_differs_in_the_trail(owner):
    old = TestKindFactory(lo=Decimal("12.40"))

    new = protocols.new_test_version(old, {"lo": Decimal("12.50")}, by=owner, at=NOON)

    entry = AuditEntry.objects.get(action="new version")
    assert (entry.actor, entry.record, entry.record_id) == (owner, "diagnostics.TestKind", str(new.pk))
    assert (entry.before, entry.after) == ({"lo": "12.40"}, {"lo": "12.50"})


def test_a_reading_keeps_the_limits_it_was_judged_by(owner):
    kind = TestKindFactory(code="rest_voltage", lo=Decimal("12.40"))
    reading = TestRunFactory(code="rest_voltage", value=Decimal("12.45"), lo=Decimal("12.40"))

    protocols.new_test_version(kind, {"lo": Decimal("12.50")}, by=owner, at=NOON)

    reading.refresh_from_db()
    assert reading.lo == Decimal("12.40")


# --- a new version of a protocol ------------------------------------------------------------------

ASKED = {"system": "battery", "symptom": "flat_after_standing"}
TWO_STEPS = [("standing_draw", "before", True), ("standing_draw", "after", False)]


@pytest.fixture
def first():
    protocol = ProtocolFactory(**ASKED)
    ProtocolStepFactory(protocol=protocol, test_code="rest_voltage")
    return protocol


def second_version(owner, **changes):
    given = {"steps": TWO_STEPS, "reason": "The draw was missed.", "by": owner, "at": NOON}
    return protocols.new_protocol_version(**ASKED | given | changes)


def test_a_changed_protocol_is_a_new_version_and_the_old_one_is_kept(first, owner):
    new = second_version(owner)

    first.refresh_from_db()
    assert (first.is_current, protocols.steps_of(first)) == (False, [["rest_voltage", "before", False]])
    assert (new.version, new.is_current, new.reason) == (2, True, "The draw was missed.")
    assert protocols.steps_of(new) == [list(step) for step in TWO_STEPS]


def test_a_new_version_of_a_protocol_leaves_the_steps_of_both_in_the_trail(first, owner):
    new = second_version(owner)

    entry = AuditEntry.objects.get(action="new version")
    assert (entry.actor, entry.record_id, entry.reason) == (owner, str(new.pk), "The draw was missed.")
    assert entry.before == {"steps": [["rest_voltage", "before", False]]}
    assert entry.after == {"steps": [list(step) for step in TWO_STEPS]}


def test_the_first_protocol_of_a_symptom_has_no_before(owner):
    new = second_version(owner)

    assert new.version == 1
    assert AuditEntry.objects.get(action="new version").before is None


def test_a_protocol_of_another_symptom_stays_in_force(first, owner):
    other = ProtocolFactory(system="battery", symptom="slow_cranking")

    second_version(owner)

    other.refresh_from_db()
    assert other.is_current


# --- what a complaint must have -------------------------------------------------------------------


def required(complaint):
    return list(complaint.required.values_list("code", "phase", "critical"))


def test_a_complaint_gets_the_steps_of_the_version_in_force(first, owner):
    new = second_version(owner)
    complaint = ComplaintFactory(**ASKED)

    protocols.set_required_steps(complaint, at=NOON)

    assert required(complaint) == TWO_STEPS
    assert {step.protocol for step in complaint.required.all()} == {new}


def test_a_complaint_keeps_the_version_that_was_in_force_when_it_was_entered(first, owner):
    complaint = ComplaintFactory(**ASKED)
    protocols.set_required_steps(complaint, at=NOON)

    second_version(owner)

    assert required(complaint) == [("rest_voltage", "before", False)]
    assert complaint.required.get().protocol == first


def test_a_complaint_without_a_protocol_must_have_nothing():
    protocols.set_required_steps(ComplaintFactory(system="battery", symptom="hums"), at=NOON)

    assert not RequiredStep.objects.exists()
