"""Who may record what: diagnosis is the technician's and the owner's, the visit everybody's."""

import pytest

from diagnostics.job.forms import FORMS
from diagnostics.job.forms.base import DIAGNOSIS, EVERYBODY
from tests.factories import StaffFactory

pytestmark = pytest.mark.django_db

OF_THE_VISIT = {
    "approval",
    "attempt",
    "attempt-correction",
    "customer-trial",
    "declined",
    "declined-follow-up",
    "hand-back",
    "photo",
    "photo-set-aside",
    "hand-off-taken",
    "minutes",
    "note",
    "outside-event",
    "planned-return",
    "promise",
    "technician",
    "waiting",
    "waiver-approval",
}
ADDS = sorted(kind for kind, form in FORMS.items() if not form.needs_row)


def opened(client, order, kind):
    query = (
        "?rule=R1&subject=C1" if kind == "explanation" else "?code=standing_draw" if kind == "reading" else ""
    )
    return client.get(f"/orders/{order.pk}/record/{kind}/{query}").status_code


def test_the_visit_is_everybodys_and_the_diagnosis_is_not():
    assert {kind for kind, form in FORMS.items() if form.roles == EVERYBODY} == OF_THE_VISIT
    assert {form.roles for kind, form in FORMS.items() if kind not in OF_THE_VISIT} == {DIAGNOSIS}


@pytest.mark.parametrize("kind", ADDS)
def test_a_technician_opens_every_form(technician, order, step, kind):
    assert opened(technician, order, kind) == 200


@pytest.mark.parametrize("kind", ADDS)
def test_an_advisor_opens_the_forms_of_the_visit_only(signed_in, maud, order, step, kind):
    assert opened(signed_in(maud), order, kind) == (200 if kind in OF_THE_VISIT else 403)


@pytest.mark.parametrize("address", ["", "bay/", "record/note/"])
def test_a_person_without_a_role_opens_nothing(signed_in, order, address):
    assert signed_in(StaffFactory()).get(f"/orders/{order.pk}/{address}").status_code == 403


@pytest.mark.parametrize("address", ["", "bay/", "record/note/"])
def test_a_person_who_is_not_signed_in_is_sent_to_sign_in(client, order, address):
    assert client.get(f"/orders/{order.pk}/{address}")["Location"].startswith("/signin/")


def test_a_record_is_made_by_post_only(technician, order, complaint):
    technician.get(f"/orders/{order.pk}/record/suspect/?complaint=C1&component=radio")

    assert not complaint.suspects.exists()


def test_a_post_without_the_token_is_refused(tobin, order, complaint):
    from django.test import Client

    client = Client(enforce_csrf_checks=True)
    client.force_login(tobin)

    response = client.post(f"/orders/{order.pk}/record/suspect/", {"complaint": "C1", "component": "radio"})
    assert response.status_code == 403
