"""Changes of protocols on record: counted, shown, decided."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils import timezone

from diagnostics.learning.acts import change_with_aim, decide
from diagnostics.learning.changes import changes
from diagnostics.learning.spells import spell_before
from diagnostics.learning.together import compared_with_unchanged
from diagnostics.models import Protocol, ProtocolAim
from shared.models import AuditEntry
from tests.factories import (
    ComplaintFactory,
    OrderFactory,
    OwnerFactory,
    ProtocolAimFactory,
    ProtocolFactory,
    ProtocolStepFactory,
    RequiredStepFactory,
    TestKindFactory,
    TestRunFactory,
    WatchedCheckFactory,
    WatchedJobFactory,
)

pytestmark = pytest.mark.django_db

START, AS_OF = date(2026, 3, 1), date(2026, 9, 1)
OF = {"system": "battery", "symptom": "flat"}
NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)


def job(returned_on, *, protocol=None, opened_on=None, done=None, back=None, read=False):
    """One job of the symptom; `done`: whether its step was; `read`: a reading stands unasked."""
    order = OrderFactory(opened_on=opened_on or returned_on, returned_on=returned_on, outcome="repaired")
    complaint = ComplaintFactory(order=order, ref="C1", **OF)
    if protocol:
        RequiredStepFactory(complaint=complaint, protocol=protocol, code="standing_draw")
    watched = WatchedJobFactory(order=order, back_days=back, **OF)
    if done is not None:
        WatchedCheckFactory(job=watched, state="done" if done else "skipped")
    if read:
        TestRunFactory(order=order, code="standing_draw")
    return watched


@pytest.fixture
def aim():
    old = ProtocolFactory(version=1, is_current=False, **OF)
    ProtocolStepFactory(protocol=old, test_code="rest_voltage")
    new = ProtocolFactory(version=2, made_at=NOON, **OF)
    ProtocolStepFactory(protocol=new, test_code="standing_draw")
    return ProtocolAimFactory(protocol=new, starts_on=START, by_on=date(2026, 8, 1))


def test_jobs_count_by_the_steps_they_began_with(aim):
    new, old = aim.protocol, Protocol.objects.get(version=1)
    job(START - timedelta(days=9), protocol=old, read=True, back=5)  # before: done, though nobody asked
    job(START - timedelta(days=8), protocol=old)  # before: not done
    job(START - timedelta(days=400), protocol=old, read=True)  # longer ago than the change is old
    job(START + timedelta(days=1), protocol=old, read=True)  # held over: on neither side
    job(START + timedelta(days=2), protocol=new, done=True)
    job(START + timedelta(days=3), protocol=new, done=False, back=9)
    job(START + timedelta(days=4), done=True)  # nobody noted its protocol: it goes by the day it was opened
    job(AS_OF - timedelta(days=5), protocol=new, done=True)  # its window has not run
    TestRunFactory(order=job(START + timedelta(days=5), protocol=new, done=False).order, code="standing_draw")

    (found,) = changes(AS_OF)

    assert found.step.counts == (1, 2, 3, 5)
    assert found.back.counts == (1, 2, 1, 4)
    assert (found.held_over, found.is_due, found.is_open) == (1, True, True)
    assert (found.jobs_before, found.jobs_so_far, found.verdict) == (2, 5, "cannot_tell")
    assert found.verdict_words.startswith("cannot tell yet, about ")
    assert changes(START - timedelta(days=1)) == ()


def test_the_next_version_ends_what_is_counted(aim):
    Protocol.objects.filter(pk=aim.protocol_id).update(is_current=False)
    ProtocolFactory(version=3, made_at=datetime(2026, 4, 1, 12, tzinfo=UTC), **OF)
    job(date(2026, 3, 20), protocol=aim.protocol, done=True)
    job(date(2026, 5, 20), protocol=aim.protocol, done=True)

    (found,) = changes(AS_OF)

    assert found.asked.ends_on == date(2026, 3, 31)
    assert found.jobs_so_far == 1


def test_many_changes_take_as_many_queries_as_one(aim, django_assert_num_queries):
    with django_assert_num_queries(8) as few:
        changes(AS_OF)
    for n in range(4):
        other = ProtocolFactory(version=2, made_at=NOON, system="battery", symptom=f"other_{n}")
        ProtocolAimFactory(protocol=other, measure="comebacks", step_code="")
    with django_assert_num_queries(len(few)):
        assert len(changes(AS_OF)) == 5


def test_a_bad_spell_is_seen_in_the_symptom_or_in_its_system():
    for n in range(40):
        job(AS_OF - timedelta(days=240 + 4 * n), back=3 if n < 2 else None)
    assert spell_before("battery", "flat", AS_OF) is None
    for n in range(12):
        job(AS_OF - timedelta(days=100 + n), back=3 if n < 6 else None)

    warned = spell_before("battery", "flat", AS_OF)

    assert (warned.spell.back, warned.spell.jobs, warned.is_of_system) == (6, 12, False)
    assert spell_before("battery", "another", AS_OF).is_of_system
    assert spell_before("brakes", "squeal", AS_OF) is None


def test_a_withdrawn_change_puts_the_steps_before_it_in_force_again(aim):
    owner = OwnerFactory(signs_as="Gwen Aldrake")
    act = {"decision": "withdrawn", "why": "It cost time.", "on": AS_OF, "by": owner, "at": NOON}

    decide(aim, **act)

    current = Protocol.objects.get(is_current=True)
    assert (current.version, current.reason) == (3, "Version 2 withdrawn: It cost time.")
    assert [step.test_code for step in current.steps.all()] == ["rest_voltage"]
    aim.refresh_from_db()
    assert (aim.decision, aim.decided_by, aim.decided_on) == ("withdrawn", "Gwen Aldrake", AS_OF)
    assert list(AuditEntry.objects.order_by("pk").values_list("action", flat=True)) == [
        "new version",
        "decide change",
    ]
    with pytest.raises(ValidationError, match="decided this"):
        decide(aim, **act)


def test_what_was_replaced_since_cannot_be_withdrawn(aim):
    owner = OwnerFactory()
    change_with_aim(**OF, steps=[("rest_voltage", "before", False)], reason="x", aim=None, by=owner, at=NOON)

    with pytest.raises(ValidationError, match="Another version"):
        decide(aim, decision="withdrawn", why="x", on=AS_OF, by=owner, at=NOON)

    assert not ProtocolAim.objects.get().decision


def test_changed_symptoms_are_laid_beside_the_others(aim):
    assert compared_with_unchanged([aim], AS_OF) is None  # nobody came back


def shown(client, name, *args):
    return client.get(reverse(name, args=args)).content.decode()


def test_the_pages_say_what_became_of_a_change(client, aim):
    client.force_login(OwnerFactory(signs_as="Gwen Aldrake"))
    job(START + timedelta(days=2), protocol=aim.protocol, done=True)

    assert "Cannot tell yet" in shown(client, "audit-learning")
    page = shown(client, "learning-change", aim.pk)
    assert "The draw test is done before a battery is sold" in page
    assert "too few for a rate" in page

    answer = client.post(
        reverse("learning-change", args=[aim.pk]), {"decision": "kept", "why": "It is done."}
    )
    assert answer.status_code == 302
    assert "“It is done.”" in shown(client, "learning-change", aim.pk)


def test_no_change_yet_says_how_to_make_one(client):
    client.force_login(OwnerFactory())

    assert "No change has an aim yet." in shown(client, "audit-learning")
    assert "No test proved causes" in shown(client, "learning-proposals")


class TestTheForm:
    """The page that puts a new version in force asks what for."""

    @pytest.fixture(autouse=True)
    def _there(self, client):
        client.force_login(OwnerFactory(signs_as="Gwen Aldrake"))
        for code in ("rest_voltage", "standing_draw"):
            TestKindFactory(code=code, system="battery")
        self.protocol = ProtocolFactory(version=1, **OF)
        ProtocolStepFactory(protocol=self.protocol, test_code="rest_voltage")
        self.address = reverse("protocol-edit", args=[self.protocol.pk])

    def sent(self, **aim):
        steps = {"steps-TOTAL_FORMS": 1, "steps-INITIAL_FORMS": 1, "steps-0-test": "standing_draw"}
        return {**steps, "reason": "The battery was sold first.", **{f"aim-{k}": v for k, v in aim.items()}}

    def test_an_aim_is_kept_with_the_version(self, client):
        by_on = timezone.localdate() + timedelta(days=90)

        client.post(
            self.address,
            self.sent(
                text="The draw is read first.", measure="step_done", step_code="standing_draw",
                share_from="50", share_to="90", by_on=by_on,
            ),
        )  # fmt: skip

        aim = ProtocolAim.objects.select_related("protocol").get()
        assert (aim.protocol.version, aim.share_from, aim.share_to, aim.by_on) == (2, 0.5, 0.9, by_on)
        assert (aim.starts_on, aim.stated_by, aim.after_bad_spell) == (
            timezone.localdate(),
            "Gwen Aldrake",
            False,
        )
        assert AuditEntry.objects.filter(action="state aim").count() == 1

    def test_a_change_without_an_aim_stays_possible(self, client):
        client.post(self.address, self.sent())

        assert Protocol.objects.get(is_current=True).version == 2
        assert not ProtocolAim.objects.exists()

    @pytest.mark.parametrize(
        ("aim", "words"),
        [
            ({"measure": "step_done"}, "Choose the step that should be done more often."),
            (
                {"measure": "comebacks", "share_from": 4, "share_to": 8},
                "The aim is that it happens less often.",
            ),
            ({"measure": "comebacks", "by_on": "2020-01-01"}, "The day to look at it lies before the start."),
            ({"measure": "comebacks", "starts_on": "2020-01-01"}, "The new steps count from today on."),
        ],
    )
    def test_what_cannot_be_is_refused_in_words(self, client, aim, words):
        sent = {"text": "x", "by_on": timezone.localdate() + timedelta(days=90), **aim}

        assert words in client.post(self.address, self.sent(**sent)).content.decode()
        assert Protocol.objects.get(is_current=True).version == 1

    def test_a_proposal_is_written_in(self, client):
        brought = client.get(self.address, {"add": "standing_draw", "reason": "It proved 4 causes"}).context
        steps = [row.initial.get("test") for row in brought["steps"].forms if row.initial]
        assert steps == ["rest_voltage", "standing_draw"]
        assert brought["reason"].initial["reason"] == "It proved 4 causes"

        gone = client.get(self.address, {"drop": "rest_voltage"}).context["steps"]
        assert [row.initial for row in gone.forms if row.initial] == []
