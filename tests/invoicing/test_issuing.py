import hashlib
import json
from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError

from invoicing import issuing, sheets
from invoicing.models import CustomerLink, IssuedDocument, WarrantyGrant
from invoicing.warranty_note import NothingToPromise
from shared import outbox
from shared.models import AuditEntry, OutboxRow
from shop.models import Complaint, Location
from tests.factories import AdvisorFactory, OwnerFactory, TechnicianFactory
from tests.invoicing.kept import AT, issued, kept_job

pytestmark = pytest.mark.django_db


def test_issuing_freezes_the_sheet_with_the_hash_of_its_data():
    document = issued(kept_job())

    document.refresh_from_db()
    text = json.dumps(document.data, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    assert document.data_sha256 == hashlib.sha256(text.encode()).hexdigest()
    assert document.data["sheet"]["answer"]["wrong"] == "The end resistor was left out."


def test_the_code_in_the_foot_is_the_first_of_the_hash():
    document = issued(kept_job())

    assert document.code == document.data_sha256[:8]


def test_issuing_asks_for_the_pdf_in_the_same_transaction():
    document = issued(kept_job())

    row = OutboxRow.objects.get(key=f"document:{document.pk}")
    assert (row.kind, row.payload) == ("make_document", {"document_pk": document.pk})


def test_a_correction_is_a_new_version_that_names_the_old_one():
    order = kept_job()
    first, second = issued(order), issued(order)

    assert (second.version, second.replaces) == (2, first)


def test_versions_of_two_kinds_are_counted_apart():
    order = kept_job()
    issued(order)

    assert issued(order, "warranty").version == 1


def test_an_issued_paper_keeps_its_words_when_the_job_changes():
    order = kept_job()
    document = issued(order)
    Complaint.objects.filter(order=order).update(text="Something else.")

    document.refresh_from_db()
    assert document.data["sheet"]["asked"][0]["said"] == "Half the dials went dead."


def test_an_issued_paper_is_never_changed():
    document = issued(kept_job())
    document.data = {}

    with pytest.raises(ValidationError, match=r"never changed\. Issue a new version"):
        document.save()


def test_a_made_pdf_is_never_changed():
    document = issued(kept_job())
    outbox.drain()
    document.refresh_from_db()
    document.pdf = b"other"

    with pytest.raises(ValidationError, match="never changed"):
        document.save()


def test_an_issued_paper_is_never_deleted():
    with pytest.raises(ValidationError, match="never deleted"):
        issued(kept_job()).delete()


def test_issuing_leaves_an_entry_in_the_audit_trail():
    document = issued(kept_job())

    entry = AuditEntry.objects.get(action="issue")
    assert (entry.record_id, entry.order_number) == (str(document.pk), "1003")
    assert entry.after["data_sha256"] == document.data_sha256


def test_a_warranty_note_keeps_what_was_promised():
    order = kept_job()
    issued(order, "warranty")

    grant = WarrantyGrant.objects.get(order=order)
    assert (str(grant.last_day), grant.last_reading) == ("2027-07-01", 108_409)


def test_terms_once_granted_outlive_a_change_of_the_shops_terms():
    order = kept_job()
    issued(order, "warranty")
    Location.objects.update(warranty_months=3)

    again = issued(order, "warranty")

    assert again.data["sheet"]["last_day"] == "1\u00a0July\u00a02027"


def test_nothing_is_promised_for_an_open_job():
    with pytest.raises(NothingToPromise, match="has not been handed back"):
        issued(kept_job(returned_on=None, outcome=""), "warranty")

    assert not WarrantyGrant.objects.exists()


def test_the_pdf_is_made_by_the_background_work():
    document = issued(kept_job())

    outbox.drain()

    document.refresh_from_db()
    assert bytes(document.pdf).startswith(b"%PDF-1.7")
    assert document.pdf_sha256 == hashlib.sha256(bytes(document.pdf)).hexdigest()


def test_making_a_pdf_twice_keeps_the_first():
    from invoicing.background import make_document

    document = issued(kept_job())
    make_document(document_pk=document.pk)
    before = IssuedDocument.objects.values().get(pk=document.pk)
    make_document(document_pk=document.pk)

    assert IssuedDocument.objects.values().get(pk=document.pk) == before


def test_a_failure_is_kept_with_its_reason_and_can_be_tried_again():
    document = issued(kept_job())
    IssuedDocument.objects.filter(pk=document.pk).update(kind="unheard")
    OutboxRow.objects.update(attempts=outbox.MOST_ATTEMPTS - 1)

    outbox.drain()

    document.refresh_from_db()
    assert "KeyError" in document.error or "TemplateDoesNotExist" in document.error
    assert document.pk not in issuing.being_made()
    issuing.make_again(document, by=AdvisorFactory())
    assert document.pk in issuing.being_made()


def test_trying_again_does_nothing_while_it_is_being_made():
    document = issued(kept_job())

    issuing.make_again(document, by=AdvisorFactory())

    assert OutboxRow.objects.count() == 1


@pytest.mark.parametrize(
    ("factory", "findings", "warranty"),
    [(OwnerFactory, True, True), (AdvisorFactory, True, True), (TechnicianFactory, True, False)],
)
def test_who_may_issue_which_paper(factory, findings, warranty):
    person = factory()

    assert (issuing.may_issue(person, "findings"), issuing.may_issue(person, "warranty")) == (
        findings,
        warranty,
    )


def test_only_the_hash_of_a_link_is_kept():
    link, token = issuing.make_link(kept_job(), by=AdvisorFactory(), at=AT)

    kept = str(CustomerLink.objects.values().get(pk=link.pk)) + str(list(AuditEntry.objects.values()))
    assert token not in kept
    assert link.token_sha256 == hashlib.sha256(token.encode()).hexdigest()
    assert len(token) >= 43  # 32 bytes in base 64.


def test_a_link_opens_its_order_until_it_expires():
    link, token = issuing.make_link(kept_job(), by=AdvisorFactory(), at=AT)

    assert issuing.find_link(token, at=AT + timedelta(days=29)) == link
    assert issuing.find_link(token, at=AT + timedelta(days=30)) is None


def test_a_revoked_link_opens_nothing():
    link, token = issuing.make_link(kept_job(), by=AdvisorFactory(), at=AT)
    issuing.revoke_link(link, by=AdvisorFactory(), at=AT)

    assert issuing.find_link(token, at=AT) is None


def test_a_wrong_token_opens_nothing():
    issuing.make_link(kept_job(), by=AdvisorFactory(), at=AT)

    assert issuing.find_link("not-the-token", at=AT) is None


def test_revoking_twice_keeps_the_first_name():
    link, _ = issuing.make_link(kept_job(), by=AdvisorFactory(), at=AT)
    issuing.revoke_link(link, by=OwnerFactory(signs_as="Gwen Aldrake"), at=AT)
    issuing.revoke_link(link, by=OwnerFactory(signs_as="Isa Renk"), at=AT)

    link.refresh_from_db()
    assert link.revoked_by == "Gwen Aldrake"
    assert AuditEntry.objects.filter(action="revoke link").count() == 1


def test_the_newest_version_of_each_kind_is_found():
    order = kept_job()
    issued(order)
    second, warranty = issued(order), issued(order, "warranty")

    assert issuing.newest(order) == {"findings": second, "warranty": warranty}


def test_canonical_text_does_not_depend_on_the_order_of_keys():
    assert sheets.canonical({"b": 1, "a": "Ω"}) == '{"a":"Ω","b":1}'.encode()
