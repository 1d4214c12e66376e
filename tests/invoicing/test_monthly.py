"""The monthly report: composed from the audit, opened and read back, sent once to each owner who wants it."""

import io
from datetime import UTC, date, datetime

import pikepdf
import pypdf
import pytest
from django.core import mail
from django.core.management import call_command

from invoicing.models import MonthlyReport, ReportLetter
from invoicing.monthly import making
from invoicing.monthly.compose import compose
from invoicing.monthly.dates import month_after, month_before
from shared import outbox
from shared.models import OutboxRow
from tests.factories import (
    MonthlyReportFactory,
    OrderFactory,
    OwnerFactory,
    ReportLetterFactory,
    WatchedCheckFactory,
    WatchedJobFactory,
)

pytestmark = pytest.mark.django_db

FEBRUARY = date(2026, 2, 1)
COUNTED = date(2026, 9, 1)
NOON = datetime(2026, 9, 1, 12, tzinfo=UTC)


@pytest.fixture
def owner():
    return OwnerFactory(signs_as="Gwen Aldrake", email="gwen@quarry-road.example")


@pytest.fixture
def shop(owner):
    """40 jobs of one shop, three of which came back; a step skipped on half of them."""
    for number in range(40):
        order = OrderFactory(
            location=owner.location,
            opened_on=date(2026, 3, 1),
            returned_on=date(2026, 3, 1),
            outcome="repaired",
        )
        job = WatchedJobFactory(order=order, back_days=9 if number < 3 else None)
        WatchedCheckFactory(job=job, state="skipped" if number % 2 else "done")


@pytest.mark.usefixtures("shop")
def test_the_report_says_how_the_shop_does_and_reads_back_from_its_pdf():
    report = making.make_report(FEBRUARY, as_of=COUNTED, at=NOON)

    pdf = bytes(report.pdf)
    text = " ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages)
    # Wilson 1927 for 3 of 40: 2.6 to 19.9 %, computed with statsmodels 0.15 proportion_confint("wilson").
    assert "3 of 40" in text
    assert "2.6 and 19.9" in " ".join(text.split())
    assert "We only see vehicles that return to us." in text
    assert "Gwen Aldrake" not in text
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        assert bool(opened.Root.MarkInfo.Marked)
    assert making.make_report(FEBRUARY, as_of=COUNTED, at=NOON) == report
    assert bytes(making.make_report(FEBRUARY, as_of=COUNTED, at=NOON, again=True).pdf) == pdf


def test_a_shop_without_a_job_gets_a_report_that_says_so():
    data = compose(FEBRUARY, as_of=COUNTED)

    assert data["in_one_line"] == "No job has had its whole window yet."
    assert data["answers"][0]["answer"] == "No finished job to count yet."


def test_each_owner_who_wants_it_gets_one_letter(owner):
    OwnerFactory(email="corin@quarry-road.example", wants_report=False)
    OwnerFactory(email="")
    report = MonthlyReportFactory(data=compose(FEBRUARY, as_of=COUNTED))

    asked = [making.ask_letters(report, at=NOON) for _ in range(2)]
    outbox.drain()
    making.send_letter(ReportLetter.objects.get())

    assert asked == [1, 0]
    assert [message.to for message in mail.outbox] == [[owner.email]]
    (attachment,) = mail.outbox[0].attachments
    assert (attachment[0], attachment[2]) == ("report-2026-02.pdf", "application/pdf")
    assert "How are we doing?" in mail.outbox[0].body


def test_a_letter_that_does_not_go_says_why_and_is_tried_again(owner, monkeypatch):
    letter = ReportLetterFactory(owner=owner, report__data=compose(FEBRUARY, as_of=COUNTED))

    def away(self):
        raise ConnectionRefusedError("nobody listens")

    with monkeypatch.context() as broken:
        broken.setattr("django.core.mail.EmailMessage.send", away)
        row = outbox.ask(making.SEND_REPORT, key="letter", payload={"letter_pk": letter.pk})
        assert outbox.do(row.pk) is False
    letter.refresh_from_db()
    said = letter.error
    making.send_letter(letter)

    assert said == "ConnectionRefusedError: nobody listens"
    assert (letter.error, letter.sent_at is not None) == ("", True)


def test_the_report_is_asked_for_once_a_month():
    for day in (1, 2, 30):
        outbox.ask_regular(now=datetime(2026, 9, day, tzinfo=UTC))

    assert OutboxRow.objects.filter(kind=making.MONTHLY_REPORT).count() == 1


@pytest.mark.parametrize(
    ("day", "before", "after"),
    [
        (date(2026, 1, 31), date(2025, 12, 1), date(2026, 2, 1)),
        (date(2026, 12, 1), date(2026, 11, 1), date(2027, 1, 1)),
    ],
)
def test_months_are_counted_by_their_first_day(day, before, after):
    assert (month_before(day), month_after(day)) == (before, after)


def test_the_list_shows_each_report_and_who_has_it(client, owner):
    client.force_login(owner)
    empty = client.get("/audit/reports/").content.decode()
    letter = ReportLetterFactory(owner=owner, error="SMTPException: full")
    asked = client.post(f"/audit/letters/{letter.pk}/again/")
    full = client.get("/audit/reports/").content.decode()

    assert "No report was made yet." in empty
    assert "Send it to Gwen Aldrake again" in full
    assert "3 of 41 jobs came back." in full
    assert (asked.status_code, OutboxRow.objects.filter(kind=making.SEND_REPORT).count()) == (302, 1)


def test_the_command_writes_the_report_to_a_file(tmp_path, capsys):
    target = tmp_path / "report.pdf"

    call_command("monthly_report", month="2026-02", out=str(target), json=True)

    assert target.read_bytes().startswith(b"%PDF")
    assert '"month": "2026-02"' in capsys.readouterr().out
    assert not MonthlyReport.objects.exists()
