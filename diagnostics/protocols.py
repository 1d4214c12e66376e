"""The protocols in force: loaded from the catalogue, versioned, and set on complaints."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.db import transaction

from diagnostics import catalogue
from diagnostics.models import Caution, Protocol, ProtocolStep, RequiredStep, TestKind
from shared import audit
from shop.models import Complaint, Symptom, System

CATALOGUE_NAME = "starter library"
TEST_KIND_FIELDS = (
    "system",
    "name",
    "plain",
    "kind",
    "quantity",
    "unit",
    "lo",
    "hi",
    "limit_source",
    "limit_says",
    "minutes",
    "point",
    "repeatable",
    "how",
    "cautions",
)


def set_required_steps(complaint: Complaint, *, at: datetime) -> None:
    """Give a complaint the steps of the protocol in force for its system and symptom."""
    protocol = Protocol.objects.filter(
        system=complaint.system, symptom=complaint.symptom, is_current=True
    ).first()
    if protocol is None:
        return
    RequiredStep.objects.bulk_create(
        RequiredStep(
            complaint=complaint,
            protocol=protocol,
            position=step.position,
            code=step.test_code,
            phase=step.phase,
            critical=step.critical,
        )
        for step in protocol.steps.all()
    )


@transaction.atomic
def load_catalogue(*, at: datetime) -> dict[str, int]:
    """Add what the starter library has and the shop has not. What the shop changed stays as it is."""
    library = catalogue.load()
    added = {
        "systems": _add_missing(System, "code", _systems(library)),
        "cautions": _add_missing(Caution, "code", _cautions(library)),
    }
    systems = {system.code: system for system in System.objects.all()}
    added["symptoms"] = _add_missing(Symptom, "code", _symptoms(library, systems))
    added["tests"] = _add_missing(TestKind, "code", _test_kinds(library, at))
    added["protocols"] = _add_protocols(library, at)
    return added


@transaction.atomic
def new_test_version(current: TestKind, changes: dict[str, Any], *, by: Any, at: datetime) -> TestKind:
    """Put a changed version of a test kind in force; the old one is kept."""
    before = audit.values(current, list(TEST_KIND_FIELDS))
    TestKind.objects.filter(pk=current.pk).update(is_current=False)
    version = TestKind.objects.create(
        **{name: getattr(current, name) for name in TEST_KIND_FIELDS} | changes,
        code=current.code,
        version=current.version + 1,
        made_by=by.signs_as,
        made_at=at,
    )
    was, now = audit.difference(before, audit.values(version, list(TEST_KIND_FIELDS)))
    audit.record("new version", version, by=by, before=was, after=now)
    return version


@transaction.atomic
def new_protocol_version(
    *,
    system: str,
    symptom: str,
    steps: list[tuple[str, str, bool]],
    reason: str,
    by: Any,
    at: datetime,
) -> Protocol:
    """Put a new version of a protocol in force: steps of (test code, phase, critical) in order."""
    current = Protocol.objects.filter(system=system, symptom=symptom, is_current=True).first()
    if current:
        Protocol.objects.filter(pk=current.pk).update(is_current=False)
    protocol = Protocol.objects.create(
        system=system,
        symptom=symptom,
        version=current.version + 1 if current else 1,
        reason=reason,
        made_by=by.signs_as,
        made_at=at,
    )
    _add_steps(protocol, steps)
    audit.record(
        "new version",
        protocol,
        by=by,
        before={"steps": steps_of(current)} if current else None,
        after={"steps": steps_of(protocol)},
        reason=reason,
    )
    return protocol


def steps_of(protocol: Protocol) -> list[list[Any]]:
    """Return the steps of a protocol as plain lists: test code, phase, critical."""
    return [[step.test_code, step.phase, step.critical] for step in protocol.steps.all()]


def _add_missing(model, key: str, records: list[Any]) -> int:
    there = set(model.objects.values_list(key, flat=True))
    missing = [record for record in records if getattr(record, key) not in there]
    model.objects.bulk_create(missing)
    return len(missing)


def _systems(library) -> list[System]:
    return [System(code=s.code, name=s.name, nhtsa=s.nhtsa) for s in library.systems.values()]


def _cautions(library) -> list[Caution]:
    return [Caution(code=c.code, title=c.title, text=c.text) for c in library.cautions.values()]


def _symptoms(library, systems) -> list[Symptom]:
    return [
        Symptom(code=s.code, system=systems[s.system], name=s.name, says=s.says, pattern=s.pattern or "")
        for s in library.symptoms.values()
    ]


def _test_kinds(library, at) -> list[TestKind]:
    return [
        TestKind(
            code=kind.code,
            made_by=CATALOGUE_NAME,
            made_at=at,
            **{name: _plain(getattr(kind, name)) for name in TEST_KIND_FIELDS},
        )
        for kind in library.tests.values()
    ]


def _plain(value: Any) -> Any:
    return list(value) if isinstance(value, tuple) else value


def _add_protocols(library, at) -> int:
    there = set(Protocol.objects.values_list("symptom", flat=True))
    missing = [wanted for wanted in library.protocols.values() if wanted.symptom not in there]
    for wanted in missing:
        protocol = Protocol.objects.create(
            system=library.symptoms[wanted.symptom].system,
            symptom=wanted.symptom,
            version=wanted.version,
            made_by=CATALOGUE_NAME,
            made_at=at,
        )
        _add_steps(protocol, [(step.test, step.phase, step.critical) for step in wanted.steps])
    return len(missing)


def _add_steps(protocol: Protocol, steps: list[tuple[str, str, bool]]) -> None:
    ProtocolStep.objects.bulk_create(
        ProtocolStep(protocol=protocol, position=position, test_code=code, phase=phase, critical=critical)
        for position, (code, phase, critical) in enumerate(steps)
    )
