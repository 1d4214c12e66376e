import json
from datetime import timedelta

import pytest
from django.core.management import CommandError, call_command
from django.urls import reverse
from django.utils import timezone

from invoicing import issuing
from invoicing.models import CustomerLink, IssuedDocument
from shared import outbox
from shared.models import OutboxRow
from tests.factories import AdvisorFactory, OwnerFactory, TechnicianFactory
from tests.invoicing.kept import issued, kept_job

pytestmark = pytest.mark.django_db


@pytest.fixture
def order():
    return kept_job()


@pytest.fixture
def advisor(client):
    client.force_login(AdvisorFactory())
    return client


def page(order, kind="findings"):
    return reverse("paper", args=[order.pk, kind])


def text(response):
    return response.content.decode()


def test_the_page_shows_the_sheet_as_it_stands(advisor, order):
    html = text(advisor.get(page(order)))

    assert "The end resistor was left out." in html
    assert "Findings for job 1003, not issued" in html
    assert "Nothing will print as not verified." in html


def test_the_page_says_what_will_print_as_not_verified(advisor, order):
    order.trialseries_set.all().delete()

    assert "will print under “What could we not verify?”" in text(advisor.get(page(order)))


def test_a_paper_of_another_name_is_not_there(advisor, order):
    assert advisor.get(page(order, "horoscope")).status_code == 404


def test_issuing_from_the_page_makes_a_version(advisor, order):
    answer = advisor.post(reverse("paper-issue", args=[order.pk, "findings"]), follow=True)

    assert "Issued: findings sheet, version 1. Its PDF is being made." in text(answer)
    assert "Being made." in text(answer)


def test_issuing_needs_a_post(advisor, order):
    assert advisor.get(reverse("paper-issue", args=[order.pk, "findings"])).status_code == 405


def test_a_made_pdf_can_be_opened(advisor, order):
    document = issued(order)
    outbox.drain()
    answer = advisor.get(reverse("document", args=[document.pk]))

    assert answer["Content-Type"] == "application/pdf"
    assert answer["Content-Disposition"] == 'inline; filename="findings-1003-version-1.pdf"'
    assert answer.content.startswith(b"%PDF")


def test_a_pdf_that_is_not_made_leads_back_to_the_page(advisor, order):
    answer = advisor.get(reverse("document", args=[issued(order).pk]), follow=True)

    assert "This PDF is not made yet." in text(answer)


def test_a_failure_is_shown_with_a_way_to_try_again(advisor, order):
    document = issued(order)
    OutboxRow.objects.update(failed_at=timezone.now())
    IssuedDocument.objects.filter(pk=document.pk).update(error="OSError: no font")
    html = text(advisor.get(page(order)))
    answer = advisor.post(reverse("document-make", args=[document.pk]), follow=True)

    assert "Not made: OSError: no font" in html
    assert "The PDF is asked for once more." in text(answer)
    assert "Being made." in text(answer)


def test_the_page_says_when_nothing_has_changed(advisor, order):
    issued(order)

    assert "Nothing has changed since version 1." in text(advisor.get(page(order)))


def test_a_warranty_that_can_not_be_promised_says_why(advisor):
    order = kept_job(returned_on=None, outcome="")

    assert "has not been handed back" in text(advisor.get(page(order, "warranty")))
    answer = advisor.post(reverse("paper-issue", args=[order.pk, "warranty"]), follow=True)
    assert "has not been handed back" in text(answer)
    assert not IssuedDocument.objects.exists()


def test_a_technician_may_look_and_issue_findings_only(client, order):
    client.force_login(TechnicianFactory())

    assert client.get(page(order)).status_code == 200
    assert client.post(reverse("paper-issue", args=[order.pk, "findings"])).status_code == 302
    assert client.post(reverse("paper-issue", args=[order.pk, "warranty"])).status_code == 403
    assert client.post(reverse("link-make", args=[order.pk, "findings"])).status_code == 403


@pytest.mark.parametrize("factory", [AdvisorFactory, OwnerFactory])
def test_advisor_and_owner_may_issue_both(client, order, factory):
    client.force_login(factory())

    for kind in ("findings", "warranty"):
        assert client.post(reverse("paper-issue", args=[order.pk, kind])).status_code == 302
    assert IssuedDocument.objects.count() == 2


def test_nobody_looks_without_a_sign_in(client, order):
    document = issued(order)

    for address in (page(order), reverse("document", args=[document.pk])):
        assert client.get(address)["Location"].startswith(reverse("signin"))


def test_a_link_is_shown_once_and_opens_the_findings(advisor, order, client):
    issued(order)
    html = text(advisor.post(reverse("link-make", args=[order.pk, "findings"])))
    address = html.split('id="new-link" type="text" readonly value="')[1].split('"')[0]
    advisor.logout()

    assert "The end resistor was left out." in text(client.get(address))
    assert CustomerLink.objects.get().last_seen_at is not None


def test_a_link_is_ended_from_the_page(advisor, order):
    link, token = issuing.make_link(order, by=AdvisorFactory(), at=timezone.now())
    answer = advisor.post(reverse("link-revoke", args=[link.pk]), follow=True)

    assert "The link is ended." in text(answer)
    assert advisor.get(reverse("customer-link", args=[token])).status_code == 404


def shared(order):
    return issuing.make_link(order, by=AdvisorFactory(), at=timezone.now())[1]


def test_the_customers_page_is_kept_out_of_caches_and_search_engines(client, order):
    issued(order)
    answer = client.get(reverse("customer-link", args=[shared(order)]))

    assert answer["Cache-Control"] == "no-store"
    assert answer["X-Robots-Tag"] == "noindex, nofollow"
    assert answer["Referrer-Policy"] == "no-referrer"


def test_the_customers_page_tells_the_whole_story(client, order):
    issued(order)
    html = text(client.get(reverse("customer-link", args=[shared(order)])))

    for words in ("Half the dials went dead.", "outside limits", "Confirmed by test", "Proved gone"):
        assert words in html
    assert "the PDF is being made" in html


def test_the_customers_pdf_is_the_newest_that_is_made(client, order):
    issued(order)
    outbox.drain()
    issued(order)
    answer = client.get(reverse("customer-document", args=[shared(order), "findings"]))

    assert answer.content.startswith(b"%PDF")
    assert "version-1" in answer["Content-Disposition"]


def test_a_paper_that_is_not_issued_is_not_behind_the_link(client, order):
    assert client.get(reverse("customer-document", args=[shared(order), "warranty"])).status_code == 404


def test_without_findings_the_link_says_not_ready(client, order):
    assert "Your papers are not ready yet" in text(client.get(reverse("customer-link", args=[shared(order)])))


@pytest.mark.parametrize("how", ["unknown", "expired", "revoked"])
def test_a_dead_link_says_what_to_do_and_never_why(client, order, how):
    issued(order)
    past = timezone.now() - timedelta(days=40)
    link, token = issuing.make_link(
        order, by=AdvisorFactory(), at=past if how == "expired" else timezone.now()
    )
    if how == "revoked":
        issuing.revoke_link(link, by=AdvisorFactory(), at=timezone.now())
    answer = client.get(reverse("customer-link", args=["x" * 43 if how == "unknown" else token]))

    assert answer.status_code == 404
    assert "call the shop and ask for a new link" in text(answer)
    assert "Hanne" not in text(answer)
    assert answer["Cache-Control"] == "no-store"


def test_a_link_opens_no_other_job(client, order):
    issued(kept_job("1004"))
    html = text(client.get(reverse("customer-link", args=[shared(order)])))

    assert "1004" not in html


def test_the_page_asks_the_database_no_more_for_many_versions(
    advisor, order, django_assert_num_queries, django_assert_max_num_queries
):
    issued(order)
    shared(order)
    with django_assert_max_num_queries(45) as for_one:
        advisor.get(page(order))
    for _ in range(6):
        issued(order)
        shared(order)

    with django_assert_num_queries(len(for_one)):
        advisor.get(page(order))


def test_the_commands_write_a_paper_and_say_what(order, tmp_path, capsys):
    for command in ("findings_sheet", "warranty_note"):
        out = tmp_path / f"{command}.pdf"
        call_command(command, "1003", "--out", str(out), "--json")
        said = json.loads(capsys.readouterr().out)

        assert out.read_bytes().startswith(b"%PDF")
        assert said["order"] == "1003"
        assert said["bytes"] == out.stat().st_size
        assert said["pages"] in (1, 2)
    assert not IssuedDocument.objects.exists()


def test_the_same_order_writes_the_same_bytes(order, tmp_path):
    for name in ("a.pdf", "b.pdf"):
        call_command("findings_sheet", "1003", "--out", str(tmp_path / name))

    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes()


def test_an_unknown_order_is_refused(tmp_path):
    with pytest.raises(CommandError, match=r"There is no order 9\. Look the number up"):
        call_command("findings_sheet", "9", "--out", str(tmp_path / "x.pdf"))


def test_a_file_that_can_not_be_written_is_refused(order, tmp_path):
    with pytest.raises(CommandError, match="cannot be written: No such file or directory"):
        call_command("findings_sheet", "1003", "--out", str(tmp_path / "no" / "x.pdf"))


def test_a_note_that_promises_nothing_is_refused(tmp_path):
    kept_job(returned_on=None, outcome="")

    with pytest.raises(CommandError, match="has not been handed back"):
        call_command("warranty_note", "1003", "--out", str(tmp_path / "x.pdf"))
