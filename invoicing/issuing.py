"""Issuing a paper, and giving the customer an address to read it at."""

from __future__ import annotations

import hmac
import secrets
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction
from django.db.models import Max

from diagnostics.reading import read_order
from invoicing import sheets
from invoicing.models import CustomerLink, IssuedDocument, WarrantyGrant
from invoicing.warranty_note import Grant, warranty_note
from shared import audit, outbox
from shared.models import OutboxRow
from shared.moments import moment_at
from shop.models import RepairOrder, StaffMember

MAKE_DOCUMENT = "make_document"
LINK_DAYS = 30  # Common practice, no source found.
TOKEN_BYTES = 32

MAY_ISSUE = {
    IssuedDocument.Kind.FINDINGS: ("owner", "advisor", "technician"),
    IssuedDocument.Kind.WARRANTY: ("owner", "advisor"),
}
MAY_SHARE = ("owner", "advisor")


def may_issue(person: StaffMember, kind: str) -> bool:
    """Whether this person may issue a paper of this kind; a warranty is a promise of the shop."""
    return any(person.has_role(role) for role in MAY_ISSUE[kind])


def may_share(person: StaffMember) -> bool:
    """Whether this person may give the customer a link, or end one."""
    return any(person.has_role(role) for role in MAY_SHARE)


@transaction.atomic
def issue(order: RepairOrder, kind: str, *, by: Any, at: datetime) -> IssuedDocument:
    """Freeze a paper as it stands, as the next version, and ask for its PDF.

    Raises
    ------
    NothingToPromise
        If it is a warranty note and nothing can be promised.
    """
    order = RepairOrder.objects.select_for_update(of=("self",)).select_related("location").get(pk=order.pk)
    sheet = sheets.current_findings(order) if kind == "findings" else _promise(order, by=by, at=at)
    last = IssuedDocument.objects.filter(order=order, kind=kind).defer("pdf", "data").first()
    version = last.version + 1 if last else 1
    data = {
        "job": order.number,
        "kind": kind,
        "version": version,
        "issued_on": moment_at(at, order.location.zone).on.isoformat(),
        "issued_by": by.signs_as,
        "sheet": sheets.as_data(sheet),
    }
    document = IssuedDocument.objects.create(
        order=order,
        kind=kind,
        version=version,
        replaces=last,
        data=data,
        data_sha256=sheets.sha256(sheets.canonical(data)),
        template_version=sheets.TEMPLATE_VERSION,
        issued_at=at,
        issued_by=by.signs_as,
    )
    audit.record(
        "issue",
        document,
        by=by,
        after=audit.values(document, ["kind", "version", "data_sha256", "template_version"]),
        order_number=order.number,
    )
    outbox.ask(MAKE_DOCUMENT, key=f"document:{document.pk}", payload={"document_pk": document.pk})
    return document


@transaction.atomic
def make_again(document: IssuedDocument, *, by: Any) -> None:
    """Ask once more for the PDF of a document whose making failed; nothing if it is made or being made."""
    if document.made_at or document.pk in being_made():
        return
    asked = OutboxRow.objects.filter(key__startswith=f"document:{document.pk}:").count()
    IssuedDocument.objects.filter(pk=document.pk, made_at__isnull=True).update(error="")
    audit.record("make again", document, by=by, order_number=document.order.number)
    outbox.ask(MAKE_DOCUMENT, key=f"document:{document.pk}:{asked + 2}", payload={"document_pk": document.pk})


def being_made() -> set[int]:
    """Return the documents whose PDF is still asked for."""
    rows = OutboxRow.objects.filter(kind=MAKE_DOCUMENT, done_at__isnull=True, failed_at__isnull=True)
    return {payload["document_pk"] for payload in rows.values_list("payload", flat=True)}


@transaction.atomic
def make_link(
    order: RepairOrder, *, by: Any, at: datetime, days: int = LINK_DAYS
) -> tuple[CustomerLink, str]:
    """Make an address for the customer and return it with its token, which is kept nowhere."""
    token = secrets.token_urlsafe(TOKEN_BYTES)
    link = CustomerLink.objects.create(
        order=order,
        token_sha256=sheets.sha256(token.encode()),
        made_at=at,
        made_by=by.signs_as,
        expires_at=at + timedelta(days=days),
    )
    audit.record(
        "make link",
        link,
        by=by,
        after=audit.values(link, ["made_at", "expires_at"]),
        order_number=order.number,
    )
    return link, token


@transaction.atomic
def revoke_link(link: CustomerLink, *, by: Any, at: datetime) -> None:
    """End an address before its time; nothing if it has ended already."""
    link = CustomerLink.objects.select_for_update(of=("self",)).select_related("order").get(pk=link.pk)
    if link.revoked_at:
        return
    link.revoked_at, link.revoked_by = at, by.signs_as
    link.save(update_fields=["revoked_at", "revoked_by"])
    audit.record(
        "revoke link",
        link,
        by=by,
        after=audit.values(link, ["revoked_at", "revoked_by"]),
        order_number=link.order.number,
    )


def find_link(token: str, *, at: datetime) -> CustomerLink | None:
    """Return the address that a token opens at `at`, or None: unknown, expired and revoked look the same."""
    wanted = sheets.sha256(token.encode())
    link = (
        CustomerLink.objects.select_related("order__location", "order__vehicle")
        .filter(token_sha256=wanted)
        .first()
    )
    if link is None or not hmac.compare_digest(link.token_sha256, wanted) or not link.is_live(at):
        return None
    return link


def see_link(link: CustomerLink, *, at: datetime) -> None:
    """Keep when the customer last looked."""
    CustomerLink.objects.filter(pk=link.pk).update(last_seen_at=at)


def newest(order: RepairOrder) -> dict[str, IssuedDocument]:
    """Return the newest version of each kind of paper of an order, without its PDF."""
    numbers = dict(
        IssuedDocument.objects.filter(order=order).order_by().values_list("kind").annotate(Max("version"))
    )
    found = IssuedDocument.objects.filter(order=order).defer("pdf")
    return {paper.kind: paper for paper in found if paper.version == numbers[paper.kind]}


def _promise(order: RepairOrder, *, by: Any, at: datetime):
    """Keep what is promised, and return the note that says so."""
    snapshot = read_order(order.pk)
    grant = sheets.current_grant(order, snapshot)
    _keep_grant(order, grant, by=by, at=at)
    return warranty_note(snapshot, grant, shop=sheets.letterhead(order.location))


def _keep_grant(order: RepairOrder, grant: Grant, *, by: Any, at: datetime) -> None:
    kept = WarrantyGrant.objects.filter(order=order).first()
    before = audit.values(kept) if kept else None
    record = kept or WarrantyGrant(order=order, granted_by=by.signs_as, granted_at=at)
    record.starts_on, record.months, record.last_day = grant.starts_on, grant.months, grant.last_day
    record.distance, record.distance_unit = grant.distance, grant.distance_unit
    record.last_reading, record.covered = grant.last_reading, list(grant.items)
    record.full_clean()
    record.save()
    after = audit.values(record)
    if before != after:
        audit.record("grant warranty", record, by=by, before=before, after=after, order_number=order.number)
