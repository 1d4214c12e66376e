"""Make the report of a month once, and send it to every owner who wants it."""

from __future__ import annotations

from datetime import date, datetime

from django.core.mail import EmailMessage
from django.db import transaction
from django.utils import timezone

from invoicing.models import MonthlyReport, ReportLetter
from invoicing.monthly.compose import compose
from invoicing.monthly.sheet import paper_of, subject_of, summary_of
from invoicing.sheets import canonical, sha256
from shared import outbox
from shop.models import StaffMember

MONTHLY_REPORT = "monthly_report"
SEND_REPORT = "send_report"


def make_report(month: date, *, as_of: date, at: datetime, again: bool = False) -> MonthlyReport:
    """Return the report of the month that begins on `month`, made now if there is none.

    Parameters
    ----------
    month : date
        The first day of the month.
    as_of : date
        The day of the count.
    again : bool
        Make it anew from the records as they are now; who has it already gets no second letter.
    """
    kept = MonthlyReport.objects.filter(month=month).first()
    if kept and not again:
        return kept
    from invoicing import rendering  # Needs the PDF engine, which the site starts without.

    data = compose(month, as_of=as_of)
    drawn = rendering.draw_html(rendering.page_html("invoicing/monthly.html", paper_of(data)))
    values = {
        "as_of": as_of,
        "data": data,
        "data_sha256": sha256(canonical(data)),
        "pdf": drawn.pdf,
        "pdf_sha256": sha256(drawn.pdf),
        "pages": drawn.pages,
        "made_at": at,
    }
    return MonthlyReport.objects.update_or_create(month=month, defaults=values)[0]


@transaction.atomic
def ask_letters(report: MonthlyReport, *, at: datetime) -> int:
    """Ask for a letter to every owner who wants one and has none yet. Return how many were asked for."""
    owners = StaffMember.objects.filter(is_owner=True, is_active=True, wants_report=True).exclude(email="")
    asked = 0
    for owner in owners.exclude(pk__in=report.letters.values("owner")):
        letter = ReportLetter.objects.create(report=report, owner=owner, address=owner.email, asked_at=at)
        outbox.ask(SEND_REPORT, key=f"{SEND_REPORT}:{letter.pk}", payload={"letter_pk": letter.pk})
        asked += 1
    return asked


def send_letter(letter: ReportLetter) -> None:
    """Send one letter, unless it is gone already. What stops it is kept beside it."""
    if letter.sent_at:
        return
    report = letter.report
    message = EmailMessage(subject_of(report.data), summary_of(report.data), to=[letter.address])
    message.attach(f"report-{report.month:%Y-%m}.pdf", bytes(report.pdf), "application/pdf")
    try:
        message.send()
    except OSError as error:
        letter.error = f"{type(error).__name__}: {error}"[:2000]
        letter.save(update_fields=["error"])
        raise
    letter.sent_at, letter.error = timezone.now(), ""
    letter.save(update_fields=["sent_at", "error"])
