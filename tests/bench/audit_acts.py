"""What the audit part does in a process of its own, with Django started on the site that it measures."""

import random
import sys
import time

from django.core.management import call_command
from django.db import connection
from django.test import Client
from django.utils import timezone

from diagnostics import watching
from diagnostics.models import ReturnVisit, WatchedCheck, WatchedJob
from shop.models import Complaint, Location, RepairOrder, StaffMember
from tests.bench import large_history
from tests.bench.timing import seconds_of

MOST_BARE = 3
MOST_AGAIN = 100_000  # With more orders, only counting from nothing is worth the wait.
VEHICLES = 40  # Looked at one by one, after the whole count.
NEXT_VISITS = """
    SELECT id, next_id FROM (
      SELECT id, returned_on, LEAD(id) OVER w AS next_id, LEAD(opened_on) OVER w AS next_opened
      FROM shop_repairorder WINDOW w AS (PARTITION BY vehicle_id ORDER BY opened_on, id)) t
    WHERE next_opened >= returned_on AND next_opened <= {last_day}
"""
LAST_DAY = {"sqlite": "date(returned_on, '+90 days')", "postgresql": "returned_on + 90"}


def run(orders, repeats):
    _fill(orders)
    processes = watching.usual_processes()
    at = timezone.now()
    _empty()
    taken = {"counted anew": [_told("counted anew", lambda: watching.recount(at=at, processes=processes))]}
    if orders <= MOST_AGAIN:
        taken["counted again"] = [_told("counted again", lambda: _again(at, processes))]
    taken |= {"after one order": _after_one_order(), **_pages(repeats)}
    models = {"pairs": ReturnVisit, "jobs": WatchedJob, "checks": WatchedCheck}
    return {
        "taken": taken,
        "bare": [seconds_of(_bare) for _ in range(min(repeats, MOST_BARE))],
        "rows": {name: model.objects.count() for name, model in models.items()},
        "processes": processes,
    }


def _fill(orders):
    call_command("migrate", verbosity=0)
    if RepairOrder.objects.exists():
        return
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            for pragma in ("synchronous = OFF", "foreign_keys = OFF", "cache_size = -800000"):
                cursor.execute(f"PRAGMA {pragma}")
    _told("history written", lambda: large_history.fill(orders))
    connection.close()  # The next connection has the usual settings.


def _empty():
    for model in (WatchedCheck, WatchedJob, ReturnVisit):
        model.objects.all()._raw_delete("default")


def _again(at, processes):
    assert not watching.recount(at=at, processes=processes)


def _bare():
    with connection.cursor() as cursor:
        cursor.execute(NEXT_VISITS.format(last_day=LAST_DAY[connection.vendor]))
        return cursor.fetchall()


def _after_one_order():
    """Seconds until the rows are right again after one complaint was changed; then it is changed back."""
    orders = range(1, RepairOrder.objects.count() + 1)
    chosen = random.Random(3).sample(orders, min(VEHICLES, len(orders)))
    seconds = []
    for complaint in Complaint.objects.filter(order__in=chosen).select_related("order"):
        was = complaint.symptom
        for symptom in ("another", was):
            Complaint.objects.filter(pk=complaint.pk).update(symptom=symptom)
            vehicle, began = complaint.order.vehicle_id, time.perf_counter()
            watching.refresh([vehicle], at=timezone.now())
            seconds.append(time.perf_counter() - began)
        assert not watching.refresh([vehicle], at=timezone.now())
    return seconds


def _pages(repeats):
    """The owner's page, of all shops and of one; the first look is measured apart."""
    owner, _ = StaffMember.objects.get_or_create(
        username="bench",
        defaults={"signs_as": "Bench", "is_owner": True, "location": Location.objects.first()},
    )
    client = Client(SERVER_NAME="localhost")
    client.force_login(owner)
    client.get("/audit/recount/")  # Fills the caches of templates.
    found = {}
    for name, address in (("all shops", "/audit/"), ("one shop", "/audit/?location=L07")):
        first = _told(f"owner's page, {name}", lambda address=address: _look(client, address))
        found[f"owner's page, {name}, first look"] = [first]
        found[f"owner's page, {name}"] = [
            seconds_of(lambda address=address: _look(client, address)) for _ in range(repeats)
        ]
    return found


def _look(client, address):
    answer = client.get(address)
    assert answer.status_code == 200, f"{address} answers {answer.status_code}"


def _told(what, act):
    seconds = seconds_of(act)
    print(f"{connection.vendor}: {what} in {seconds:,.1f} s", file=sys.stderr)
    return seconds
