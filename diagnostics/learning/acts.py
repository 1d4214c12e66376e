"""Changing a protocol with an aim, and deciding later whether the change stays."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from diagnostics import protocols, watching
from diagnostics.models import Protocol, ProtocolAim
from shared import audit

Decision = ProtocolAim.Decision
LONGEST_REASON = 300


@transaction.atomic
def change_with_aim(
    *, system: str, symptom: str, steps: list, reason: str, aim: ProtocolAim | None, by: Any, at: datetime
) -> Protocol:
    """Put a new version of a protocol in force, and keep what it should change where that was said."""
    version = protocols.new_protocol_version(
        system=system, symptom=symptom, steps=steps, reason=reason, by=by, at=at
    )
    if aim is not None:
        aim.protocol, aim.stated_by, aim.stated_at = version, by.signs_as, at
        aim.full_clean()
        aim.save()
        audit.record("state aim", aim, by=by, after=audit.values(aim))
    return version


@transaction.atomic
def decide(aim: ProtocolAim, *, decision: str, why: str, on: date, by: Any, at: datetime) -> ProtocolAim:
    """Keep a change, or withdraw it: then the steps before it are put in force again, as a new version."""
    aim = ProtocolAim.objects.select_for_update().select_related("protocol").get(pk=aim.pk)
    if aim.decision:
        raise ValidationError(
            f"{aim.decided_by} decided this on {aim.decided_on:%d %b %Y}. Change the protocol anew instead.",
            code="decided",
        )
    if decision == Decision.WITHDRAWN:
        _put_back(aim.protocol, why, by=by, at=at)
    before = audit.values(aim)
    aim.decision, aim.decided_why, aim.decided_on, aim.decided_by = decision, why, on, by.signs_as
    aim.save()
    was, now = audit.difference(before, audit.values(aim))
    audit.record("decide change", aim, by=by, before=was, after=now, reason=why)
    watching.mark_stale()  # What waits for the owner counts open changes.
    return aim


def version_before(protocol: Protocol) -> Protocol | None:
    """Return the version that a protocol took the place of."""
    earlier = Protocol.objects.filter(
        system=protocol.system, symptom=protocol.symptom, version__lt=protocol.version
    )
    return earlier.order_by("-version").first()


def _put_back(changed: Protocol, why: str, *, by: Any, at: datetime) -> None:
    before = version_before(changed)
    if before is None:
        raise ValidationError("There are no steps before these to put back in force.", code="first_version")
    if not changed.is_current:
        raise ValidationError(
            "Another version is in force since. Change the protocol on its own page.", code="not_current"
        )
    reason = f"Version {changed.version} withdrawn: {why}"
    protocols.new_protocol_version(
        system=changed.system,
        symptom=changed.symptom,
        steps=[(code, phase, critical) for code, phase, critical in protocols.steps_of(before)],
        reason=reason if len(reason) <= LONGEST_REASON else f"{reason[: LONGEST_REASON - 2]} …",
        by=by,
        at=at,
    )
