"""An answer that took long is kept; a stale one is shown and counted again in the background."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

import pytest

from diagnostics.audit import keeping
from diagnostics.audit.scope import Scope
from diagnostics.models import KeptAudit
from shared import outbox
from shared.models import OutboxRow

pytestmark = pytest.mark.django_db

NOON = datetime(2026, 9, 1, 12, tzinfo=UTC)
SCOPE = Scope(as_of=date(2026, 9, 1), since=date(2025, 6, 1))


@dataclass(frozen=True)
class Told:
    times: int


@pytest.fixture
def asked():
    """A question that counts how often it was computed."""
    times = []

    def compute(scope):
        times.append(scope)
        return Told(len(times))

    yield keeping.question("a-test", compute, Told)
    del keeping._questions["a-test"]


@pytest.fixture
def slow(monkeypatch):
    monkeypatch.setattr(keeping, "KEEP_SECONDS", 0.0)


def test_a_quick_answer_is_computed_each_time(asked):
    first, second = (keeping.answer(asked, SCOPE, now=NOON) for _ in range(2))

    assert (first.value, second.value) == (Told(1), Told(2))
    assert not second.is_kept
    assert not KeptAudit.objects.exists()


def test_a_slow_answer_is_computed_once_and_says_when(asked, slow):
    keeping.answer(asked, SCOPE, now=NOON)
    again = keeping.answer(asked, SCOPE, now=NOON + timedelta(hours=3))

    assert again.value == Told(1)
    assert (again.is_kept, again.computed_at, again.is_being_renewed) == (True, NOON, False)


def test_another_question_has_an_answer_of_its_own(asked, slow):
    keeping.answer(asked, SCOPE, now=NOON)

    assert keeping.answer(asked, SCOPE.as_counted("reviewed_low"), now=NOON).value == Told(2)


@pytest.mark.parametrize("reason", ["stale", "another day"])
def test_an_old_answer_is_shown_and_counted_again_in_the_background(asked, slow, reason):
    keeping.answer(asked, SCOPE, since_is_usual=True, now=NOON)
    scope = SCOPE
    if reason == "stale":
        KeptAudit.objects.update(is_stale=True)
    else:
        scope = Scope(as_of=date(2026, 9, 2), since=date(2025, 6, 2))

    for _ in range(2):
        old = keeping.answer(asked, scope, since_is_usual=True, now=NOON)
        assert (old.value, old.is_being_renewed, old.as_of) == (Told(1), True, SCOPE.as_of)
    assert OutboxRow.objects.count() == 1

    assert outbox.drain() == 1
    new = keeping.answer(asked, scope, since_is_usual=True, now=NOON)
    assert (new.value, new.is_being_renewed, new.as_of) == (Told(2), False, scope.as_of)
    assert KeptAudit.objects.count() == 1


def test_an_answer_of_an_earlier_form_is_computed_anew(asked, slow):
    keeping.answer(asked, SCOPE, now=NOON)
    KeptAudit.objects.update(body={"name": "a-test", "value": {"other": 1}})

    assert keeping.answer(asked, SCOPE, now=NOON).value == Told(2)


def test_of_very_many_jobs_even_the_first_answer_is_counted_in_the_background(asked, monkeypatch):
    monkeypatch.setattr(keeping, "MOST_JOBS_AT_ONCE", -1)

    assert keeping.answer(asked, SCOPE, now=NOON) is None
    assert keeping.answer(asked, SCOPE, now=NOON + timedelta(minutes=1)) is None
    assert OutboxRow.objects.count() == 1
    assert outbox.drain() == 1
    assert keeping.answer(asked, SCOPE, now=NOON + timedelta(hours=1)).value == Told(1)
