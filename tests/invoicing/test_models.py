"""What can never be stored about papers, links and warranties, and what issuing freezes."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.core.exceptions import ValidationError

from invoicing.models import CustomerLink, IssuedDocument, WarrantyGrant
from tests.constraints import again, changed
from tests.factories import MonthlyReportFactory, OrderFactory, ReportLetterFactory

pytestmark = pytest.mark.django_db

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)


def paper(**values):
    usual = {
        "order": OrderFactory(),
        "kind": "findings",
        "version": 1,
        "data": {"job": "1042"},
        "data_sha256": "a" * 64,
        "template_version": "1",
        "issued_at": NOON,
        "issued_by": "Maud Kerrow",
    }
    return IssuedDocument(**usual | values)


def link(**values):
    usual = {
        "order": OrderFactory(),
        "token_sha256": "b" * 64,
        "made_at": NOON,
        "made_by": "Maud Kerrow",
        "expires_at": NOON + timedelta(days=30),
    }
    return CustomerLink(**usual | values)


def warranty(**values):
    usual = {
        "order": OrderFactory(),
        "starts_on": date(2026, 3, 2),
        "months": 12,
        "last_day": date(2027, 3, 1),
        "distance": 12000,
        "distance_unit": "km",
        "granted_by": "Maud Kerrow",
        "granted_at": NOON,
    }
    return WarrantyGrant(**usual | values)


def kept(record):
    record.save()
    return record


BROKEN = {
    "document_version_once": lambda: again(kept(paper())),
    "document_pdf_has_hash": lambda: paper(made_at=NOON),
    "customer_link_ends_later": lambda: link(expires_at=NOON),
    "customer_link_revoked_has_name": lambda: link(revoked_at=NOON),
    "monthly_report_starts_on_the_first": lambda: changed(MonthlyReportFactory(), month=date(2026, 2, 2)),
    "report_letter_once_an_owner": lambda: again(ReportLetterFactory()),
    "warranty_ends_after_start": lambda: warranty(last_day=date(2026, 3, 1)),
}


@pytest.mark.parametrize("record", [paper, link, warranty])
def test_the_least_record_is_kept(record):
    assert kept(record()).pk


@pytest.mark.parametrize(
    "values",
    [
        {"kind": "warranty"},
        {"version": 2},
        {"data": {"job": "1043"}},
        {"data_sha256": "c" * 64},
        {"template_version": "2"},
        {"issued_at": NOON + timedelta(hours=1)},
        {"issued_by": "Somebody Else"},
    ],
)
def test_nothing_that_stands_on_an_issued_paper_changes(values):
    document = kept(paper())

    with pytest.raises(ValidationError, match=r"never changed\. Issue a new version"):
        changed(document, **values).save()


def test_the_pdf_is_added_once_and_stays():
    document = kept(changed(kept(paper()), pdf=b"%PDF", pdf_sha256="d" * 64, made_at=NOON))

    with pytest.raises(ValidationError, match=r"never changed\. Issue a new version"):
        changed(document, pdf=b"other").save()


def test_a_paper_is_never_deleted():
    with pytest.raises(ValidationError, match="An issued paper is never deleted"):
        kept(paper()).delete()


@pytest.mark.parametrize(
    ("values", "at", "is_live"),
    [
        ({}, NOON, True),
        ({}, NOON + timedelta(days=30), False),
        ({"revoked_at": NOON, "revoked_by": "Maud Kerrow"}, NOON, False),
    ],
)
def test_a_link_works_until_it_expires_or_is_revoked(values, at, is_live):
    assert link(order=OrderFactory.build(), **values).is_live(at) is is_live
