"""Background work of this room, by the kind that the outbox names."""

from django.db import transaction
from django.utils import timezone

from invoicing.issuing import MAKE_DOCUMENT
from invoicing.models import IssuedDocument, ReportLetter
from invoicing.monthly.dates import month_before
from invoicing.monthly.making import (
    MONTHLY_REPORT,
    SEND_REPORT,
    ask_letters,
    make_report,
    send_letter,
)
from invoicing.sheets import issued_paper, sha256
from shared.outbox import handles


@handles(MAKE_DOCUMENT)
def make_document(document_pk):
    """Draw the PDF of an issued paper and keep it. Safe to run twice: the first file stays."""
    document = IssuedDocument.objects.defer("pdf").get(pk=document_pk)
    if document.made_at:
        return
    try:
        pdf = _draw(document)
    except Exception as error:
        IssuedDocument.objects.filter(pk=document_pk, made_at__isnull=True).update(
            error=f"{type(error).__name__}: {error}"[:2000]
        )
        raise
    _keep(document_pk, pdf)


def _draw(document):
    from invoicing import rendering  # Needs the PDF engine, which the site starts without.

    return rendering.draw(issued_paper(document)).pdf


@transaction.atomic
def _keep(document_pk, pdf):
    document = IssuedDocument.objects.select_for_update().get(pk=document_pk)
    if document.made_at:
        return
    document.pdf, document.pdf_sha256, document.error = pdf, sha256(pdf), ""
    document.made_at = timezone.now()
    document.save()


@handles(MONTHLY_REPORT, monthly=True)
def monthly_report():
    """Make the report of the month that is over, and ask for its letters."""
    now = timezone.now()
    today = timezone.localdate(now)
    ask_letters(make_report(month_before(today), as_of=today, at=now), at=now)


@handles(SEND_REPORT)
def send_report(letter_pk):
    """Send one report to one owner. Safe to run twice: a letter that is gone is not sent again."""
    send_letter(ReportLetter.objects.select_related("report").get(pk=letter_pk))
