"""The rules over every order, beside reading the same orders."""

import io

from django.core.management import call_command

from diagnostics.reading import read_orders
from shop.models import RepairOrder
from tests.bench.timing import Comparison, in_turns

MOST_REPEATS = 5


def measure(shop, repeats):
    def find_gaps():
        call_command("gaps", all=True, json=True, stdout=io.StringIO())

    def read():
        for _ in read_orders(RepairOrder.objects.order_by("vehicle_id", "opened_on", "pk")):
            pass

    taken, yardstick = in_turns(min(repeats, MOST_REPEATS), find_gaps, read)
    return [Comparison("gaps --all", taken, "reading the orders", yardstick, shop.orders)]
