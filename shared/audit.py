"""The audit trail: one entry for each change that a person makes."""

from __future__ import annotations

from typing import Any

from django.db import models, transaction
from django.utils import timezone

from shared.models import AuditEntry


def record(
    action: str,
    instance: models.Model,
    *,
    by: Any,
    before: dict | None = None,
    after: dict | None = None,
    order_number: str = "",
    reason: str = "",
) -> AuditEntry:
    """Keep who changed `instance`, and its values before and after.

    `by` is a staff member, or a text where a command or the customer acts.
    """
    is_person = isinstance(by, models.Model)
    return AuditEntry.objects.create(
        at=timezone.now(),
        actor=by if is_person else None,
        actor_name=by.signs_as if is_person else str(by),
        action=action,
        record=instance._meta.label,
        record_id=str(instance.pk),
        order_number=order_number,
        before=before,
        after=after,
        reason=reason,
    )


@transaction.atomic
def keep(instance: models.Model, *, by: Any) -> None:
    """Save a new or changed record, and leave an entry of what differs. Nothing differs: no entry."""
    before = None if instance.pk is None else values(type(instance)._default_manager.get(pk=instance.pk))
    instance.save()
    after = values(instance)
    if before is None:
        record("add", instance, by=by, after=after)
    elif before != after:
        was, now = difference(before, after)
        record("change", instance, by=by, before=was, after=now)


def values(instance: models.Model, fields: list[str] | None = None) -> dict[str, Any]:
    """Return the stored values of `instance` by field name, ready for an entry."""
    names = fields or [field.name for field in instance._meta.concrete_fields]
    return {name: instance._meta.get_field(name).value_to_string(instance) for name in names}


def difference(before: dict[str, Any], after: dict[str, Any]) -> tuple[dict[str, Any], dict[str, Any]]:
    """Return only the values that differ."""
    changed = [name for name in after if before.get(name) != after[name]]
    return {name: before.get(name) for name in changed}, {name: after[name] for name in changed}
