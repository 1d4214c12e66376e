"""Rows of parts, batches and names, and what a curve makes of vehicles that left."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.core.management import CommandError, call_command
from django.db.models import Count

from diagnostics.audit.breakdown import breakdown, key_parts, key_text
from diagnostics.audit.curve import curve
from diagnostics.audit.jobs import jobs_behind
from diagnostics.audit.people import People, own, people
from diagnostics.audit.plain_values import from_plain, to_plain
from diagnostics.audit.rates import headline
from diagnostics.audit.scope import Scope
from diagnostics.models import WatchedJob
from shop.models import PartFitted
from tests.diagnostics.audit.watched import AS_OF, HANDED_BACK, jobs
from tests.factories import LocationFactory, OrderFactory, WorkItemFactory

pytestmark = pytest.mark.django_db

SCOPE = Scope(as_of=AS_OF)


def fitted(job, number="P1", batch="", supplier=""):
    work = WorkItemFactory(order=job.order)
    return PartFitted.objects.create(
        work=work, number=number, batch=batch, supplier=supplier, condition="new"
    )


def counts(by, scope=SCOPE):
    return {row.key: (row.share.count, row.share.of) for row in breakdown(scope, by)}


def test_a_job_with_two_parts_stands_in_both_rows_and_once_in_each():
    first, second, third = jobs(3, back=1)
    fitted(first, "P/1", "7 a/b", "Hollin")
    fitted(first, "P/1", "7 a/b", "Hollin")
    fitted(first, "P2", "", "")
    fitted(second, "P", "1/7 a/b", "Hollin")
    fitted(third, "P2", "", "")

    assert counts("supplier") == {"Hollin": (1, 2)}
    assert counts("part_condition") == {"new": (1, 3)}
    assert counts("batch") == {"P%2F1/7 a%2Fb": (1, 1), "P/1%2F7 a%2Fb": (0, 1)}
    for row in breakdown(SCOPE, "batch"):
        behind = jobs_behind(SCOPE, row.query | {"back": "yes"})
        assert [job.pk for job in behind] == ([first.pk] if row.share.count else [])


@pytest.mark.parametrize("key", [("a", "b"), ("", ""), ("a/b", "%2F"), ("p 1", "ü&?")])
def test_a_key_of_two_parts_is_read_as_it_was_written(key):
    assert tuple(key_parts(key_text(key), 2)) == key


def test_of_too_few_nothing_is_said_but_the_count():
    jobs(29, back=3, system="a")
    few, many = Scope(as_of=AS_OF), jobs(400, back=8, system="b")
    rows = {row.label: row for row in breakdown(few, "outcome")}
    assert len(many) == 400

    assert rows["repaired"].share.of == 429
    assert rows["repaired"].flag == "within"
    assert {row.flag for row in breakdown(Scope(as_of=AS_OF, location="nowhere"), "outcome")} == set()


def test_the_windows_stand_side_by_side():
    jobs(40, back=4)
    WatchedJob.objects.filter(back_days=10).update(year_days=10)
    WatchedJob.objects.filter(pk__in=WatchedJob.objects.filter(back_days=None)[:3].values("pk")).update(
        year_days=200
    )

    short, policy, year = headline(Scope(as_of=HANDED_BACK + timedelta(days=366))).windows

    assert [(w.days, w.share.count, w.share.of) for w in (short, policy, year)] == [
        (30, 4, 40),
        (90, 4, 40),
        (365, 7, 40),
    ]
    assert (policy.km, year.km) == (Decimal(6000), Decimal(24333)), "the distance is in proportion"
    assert headline(Scope(as_of=HANDED_BACK + timedelta(days=365))).windows[2].share is None
    assert headline(Scope(as_of=HANDED_BACK + timedelta(days=30))).windows[0].share is None
    assert headline(Scope(as_of=HANDED_BACK + timedelta(days=31))).windows[0].share.of == 40


def test_the_naive_share_counts_the_young_and_not_what_came_later():
    jobs(10, back=5)

    for days, back in ((9, 0), (10, 5)):
        found = headline(Scope(as_of=HANDED_BACK + timedelta(days=days)))
        assert (found.too_young, found.provisional) == (10, None)
        assert (found.naive.count, found.naive.of) == (back, 10)


def test_vehicles_that_left_are_watched_no_longer_and_compete():
    young = HANDED_BACK + timedelta(days=60)
    jobs(40, back=10)
    gone = WatchedJob.objects.filter(back_days=None)[:20].values("pk")
    WatchedJob.objects.filter(pk__in=list(gone.values_list("pk", flat=True))).update(
        left_on=HANDED_BACK + timedelta(days=5)
    )

    found = curve(Scope(as_of=young))
    # 20 gone on day 5, then 10 of 20 come back on day 10: half of those still here, a quarter of all.
    assert found.at(30).value == pytest.approx(0.5)
    assert found.competing.event == pytest.approx(0.25)
    assert found.competing.gone == pytest.approx(0.5)
    assert found.left == 20
    before = curve(Scope(as_of=HANDED_BACK + timedelta(days=4)))
    assert (before.left, before.competing, before.points[-1].value) == (0, None, 0)


def test_each_shop_is_watched_to_the_end_of_its_own_window():
    jobs(20, back=10)
    short = LocationFactory(code="SHORT", window_days=5)
    others = [job.pk for job in jobs(20, prefix="s")]
    WatchedJob.objects.filter(pk__in=others).update(location=short, mature_on=HANDED_BACK + timedelta(days=6))

    # On day 10 the 20 of the short window are watched no more: 10 of 20, not 10 of 40.
    assert curve(SCOPE).at(30).value == pytest.approx(0.5)
    assert headline(SCOPE).windows[1].days == 0, "the shops differ"


def _three(names=("Ada", "Bo", "Cy")):
    for number, name in enumerate(names):
        jobs(60, back=3 + number, technician=name, prefix=name)


def test_my_own_figure_needs_two_colleagues_to_hide_among():
    _three()
    mine = own(SCOPE, "Bo")
    assert (mine.unit.eligible, mine.unit.comebacks, mine.unit.flag) == (60, 4, "within")
    assert mine.whole.of == 180
    assert "Ada" not in str(mine)

    WatchedJob.objects.filter(technician="Cy").delete()
    alone = own(SCOPE, "Bo")
    assert (alone.unit.eligible, alone.unit.share.count, alone.unit.expected, alone.whole) == (
        60,
        4,
        None,
        None,
    )
    assert own(SCOPE, "Nobody").unit is None


def test_compared_people_can_be_kept_and_read_again():
    _three()
    found = people(SCOPE)

    assert from_plain(People, to_plain(found)) == found
    assert [unit.label for unit in found.rows] == ["Ada", "Bo", "Cy"]
    assert [unit.id for unit in people(SCOPE, "location").rows] == list(
        WatchedJob.objects.values_list("location__code")
        .annotate(n=Count("pk"))
        .values_list("location__code", flat=True)
    )
    assert people(Scope(as_of=AS_OF, technician="Bo")).rows == found.rows


def test_the_command_says_what_is_missing_or_wrong():
    call_command("audit", "--json")
    OrderFactory(returned_on=date(2026, 3, 1), outcome="repaired")
    for args, words in (
        ((), "analyse"),
        (("--from", "2026-02-01", "--to", "2026-01-01"), "lies after"),
        (("--location", "nowhere"), "There is no shop"),
    ):
        with pytest.raises(CommandError, match=words):
            call_command("audit", *args)
    jobs(1)
    with pytest.raises(CommandError, match="some of S, W, Y and P"):
        call_command("audit", "--levels", "S,X")
