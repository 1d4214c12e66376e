import json
from dataclasses import replace
from datetime import date
from decimal import Decimal, InvalidOperation
from itertools import groupby

from django.core.management.base import BaseCommand, CommandError

from diagnostics.comebacks import as_it_stood, carried, vehicle_pairs
from diagnostics.evidence import evaluate
from diagnostics.models import ReturnVisit
from diagnostics.reading import read_instruments, read_orders
from shop.models import RepairOrder


class Command(BaseCommand):
    help = "List every pair of one vehicle's visits: how related, how far apart, and the verdict."

    def add_arguments(self, parser):
        parser.add_argument(
            "--as-of", type=date.fromisoformat, metavar="DATE", help="as things stood on DATE"
        )
        parser.add_argument("--window-days", type=int, metavar="N", help="instead of each location's window")
        parser.add_argument("--window-km", metavar="N", help="instead of each location's window")
        parser.add_argument("--json", action="store_true", help="one JSON object a line")

    def handle(self, *args, as_of, window_days, window_km, json, **options):
        policy = _policy(window_days, window_km)
        instruments = read_instruments()
        states = _review_states()
        write = self._write_json if json else self._write_text
        orders = read_orders(RepairOrder.objects.order_by("vehicle_id", "pk"))
        for _, group in groupby(orders, key=lambda order: order.vehicle.id):
            visits = [replace(order, location=replace(order.location, **policy)) for order in group]
            left = _Left({order.id: as_it_stood(order, as_of) for order in visits}, instruments)
            for pair in vehicle_pairs(visits, as_of=as_of):
                write(_line(pair, left.by(pair.index_order), states))

    def _write_json(self, line):
        self.stdout.write(json.dumps(line, ensure_ascii=False))

    def _write_text(self, line):
        counted = ", counts" if line["counts"] else ""
        self.stdout.write(
            f"{line['index_order']} -> {line['return_order']}: {line['verdict']} "
            f"({line['reason']}{counted}), level {line['level']}, {_apart(line['days'], line['km'])}"
        )


def _apart(days, km):
    stretch = "days not known" if days is None else f"{days} {'day' if days == 1 else 'days'}"
    return f"{stretch}, {'distance not known' if km is None else f'{km:.10g} km'}"


class _Left:
    """What each order left unproved, worked out once and only for orders that are asked for."""

    def __init__(self, orders, instruments):
        self._orders = orders
        self._instruments = instruments
        self._known = {}

    def by(self, order_id):
        if order_id not in self._known:
            order = self._orders[order_id]
            self._known[order_id] = carried(order, evaluate(order, instruments=self._instruments))
        return self._known[order_id]


def _line(pair, left, states):
    return {
        "index_order": pair.index_order,
        "return_order": pair.return_order,
        "counts": pair.counts,
        "level": pair.level,
        "days": pair.days,
        "km": None if pair.km is None else float(pair.km),
        "in_window": pair.in_window,
        "exclusion": pair.exclusion or None,
        "verdict": pair.verdict,
        "reason": pair.reason,
        "state": states.get((pair.index_order, pair.return_order), ReturnVisit.State.UNREVIEWED.value),
        "skipped": list(left.skipped_steps),
        "unsupported_parts": list(left.unsupported_parts),
        "open_assumptions": list(left.open_assumptions),
    }


def _review_states():
    reviewed = ReturnVisit.objects.exclude(state=ReturnVisit.State.UNREVIEWED)
    return {
        (index, later): state
        for index, later, state in reviewed.values_list(
            "index_order__number", "return_order__number", "state"
        )
    }


def _policy(days, km):
    """Return the limits given here as fields of a location; a limit not given stays each location's own."""
    policy = {}
    if days is not None:
        policy["window_days"] = days
    if km is not None:
        try:
            policy["window_km"] = Decimal(km)
        except InvalidOperation:
            policy["window_km"] = Decimal("nan")
        if not policy["window_km"].is_finite():
            raise CommandError(f"--window-km is '{km}'. Write a number of kilometres.")
    if any(limit < 0 for limit in policy.values()):
        raise CommandError("A window cannot be below 0.")
    return policy
