"""The recomputation of all returns, beside the bare question for a vehicle's next visit in the window."""

from django.db import connection
from django.utils import timezone

from diagnostics import watching
from diagnostics.models import ReturnVisit
from tests.bench.timing import Comparison, in_turns

MOST_REPEATS = 5
NEXT_VISITS = """
    SELECT id, next_id FROM (
      SELECT id, returned_on, LEAD(id) OVER w AS next_id, LEAD(opened_on) OVER w AS next_opened
      FROM shop_repairorder WINDOW w AS (PARTITION BY vehicle_id ORDER BY opened_on, id)) t
    WHERE next_opened >= returned_on AND next_opened <= date(returned_on, '+90 days')
"""


def measure(shop, repeats):
    at = timezone.now()

    def from_nothing():
        ReturnVisit.objects.all().delete()
        watching.recount(at=at)

    def again():
        assert not watching.recount(at=at)

    def bare():
        with connection.cursor() as cursor:
            cursor.execute(NEXT_VISITS)
            return cursor.fetchall()

    first, second, yardstick = in_turns(min(repeats, MOST_REPEATS), from_nothing, again, bare)
    note = f"{ReturnVisit.objects.count():,} pairs of {shop.orders:,} orders"
    return [
        Comparison("all returns from nothing", first, "bare window query", yardstick, shop.orders, note),
        Comparison(
            "all returns again", second, "bare window query", yardstick, shop.orders, "changes nothing"
        ),
    ]
