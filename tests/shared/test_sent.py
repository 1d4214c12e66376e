"""A form that is sent twice is kept once."""

from datetime import UTC, datetime, timedelta

import pytest
from django.core.exceptions import ValidationError

from shared import sent
from shared.background import forget_sent_forms
from shared.models import SentForm
from tests.factories import TechnicianFactory

pytestmark = pytest.mark.django_db

KEY = "6f1c0a52-8a0e-4a55-b2f9-0c8a5f6b7d10"
NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)


class Act:
    """Counts how often something was done."""

    def __init__(self):
        self.times = 0

    def __call__(self):
        self.times += 1
        return sent.Answer("/orders/1/", f"Kept {self.times}.")


@pytest.fixture
def person():
    return TechnicianFactory()


@pytest.fixture
def sending(rf, person):
    def send(data, by=None, path="/orders/1/record/reading/"):
        request = rf.post(path, data)
        request.user = by or person
        return request

    return send


def test_the_same_form_again_has_the_first_answer(sending):
    act, data = Act(), {"sent": KEY, "reading": "12.31 V"}

    first, second = sent.once(sending(data), act), sent.once(sending(data), act)

    assert (act.times, second) == (1, first)


def test_other_content_under_the_same_key_is_another_sending(sending):
    act = Act()

    sent.once(sending({"sent": KEY, "reading": "12.31 V"}), act)
    sent.once(sending({"sent": KEY, "reading": "12.4 V"}), act)

    assert act.times == 2


def test_the_token_against_forgery_is_no_content(sending):
    act = Act()

    sent.once(sending({"sent": KEY, "reading": "1", "csrfmiddlewaretoken": "a"}), act)
    sent.once(sending({"sent": KEY, "reading": "1", "csrfmiddlewaretoken": "b"}), act)

    assert act.times == 1


def test_two_people_never_share_an_answer(sending):
    act, data = Act(), {"sent": KEY, "reading": "1"}

    sent.once(sending(data), act)
    sent.once(sending(data, by=TechnicianFactory()), act)

    assert act.times == 2


@pytest.mark.parametrize("key", ["", "x", "../" * 20, "6F1C", "a" * 37])
def test_a_key_of_another_form_guards_nothing(sending, key):
    act = Act()

    sent.once(sending({"sent": key, "reading": "1"}), act)
    sent.once(sending({"sent": key, "reading": "1"}), act)

    assert (act.times, SentForm.objects.count()) == (2, 0)


def test_a_refused_form_may_be_sent_again(sending):
    data = {"sent": KEY, "reading": "1"}

    def refuse():
        raise ValidationError("The job is closed.")

    with pytest.raises(ValidationError):
        sent.once(sending(data), refuse)

    assert sent.once(sending(data), act := Act()).said == "Kept 1."
    assert act.times == 1


def test_what_was_answered_is_known_before_anything_is_checked(sending):
    data = {"sent": KEY, "reading": "1"}
    assert sent.answered(sending(data)) is None

    answer = sent.once(sending(data), Act())

    assert sent.answered(sending(data)) == answer


def test_keys_are_forgotten_after_a_month(person, time_machine):
    time_machine.move_to(NOON, tick=False)
    for number, age in enumerate((timedelta(days=32), timedelta(days=30))):
        SentForm.objects.create(key=f"{number:08d}", digest="d", by=person, at=NOON - age)

    forget_sent_forms()

    assert [row.key for row in SentForm.objects.all()] == ["00000001"]
