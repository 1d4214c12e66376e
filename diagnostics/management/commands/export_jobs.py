"""Hand the site's history out in the exchange form, one JSON object a line."""

import os
from pathlib import Path

from django.core.management.base import BaseCommand, CommandError

from diagnostics.exchange.exporting import export_lines
from shop.models import RepairOrder


class Command(BaseCommand):
    help = "Hand the history out in the exchange form: locations, instruments, vehicles, then orders."

    def add_arguments(self, parser):
        parser.add_argument(
            "orders", nargs="*", metavar="ORDER", help="only these orders; all if none is named"
        )
        parser.add_argument("--out", metavar="FILE", help="write to this file instead of standard output")

    def handle(self, *args, orders, out, **options):
        lines = export_lines(_chosen(orders))
        if not out:
            for line in lines:
                self.stdout.write(line)
            return
        count = _write(lines, Path(out))
        self.stderr.write(f"{count:,} lines written to {out}.", style_func=str)


def _chosen(numbers):
    if not numbers:
        return None
    orders = RepairOrder.objects.filter(number__in=numbers)
    missing = sorted(set(numbers) - set(orders.values_list("number", flat=True)))
    if missing:
        raise CommandError(f"There is no order {', '.join(missing)}. See the job list for the numbers.")
    return orders


def _write(lines, out):
    """Write beside the target and move into place, so that a broken export leaves no half file."""
    unfinished = out.with_name(f"{out.name}.unfinished")
    count = 0
    try:
        with open(unfinished, "w", encoding="utf-8", newline="\n") as file:
            for line in lines:
                file.write(f"{line}\n")
                count += 1
        os.replace(unfinished, out)
    except OSError as error:
        raise CommandError(f"'{out}' cannot be written: {error.strerror}.") from None
    finally:
        unfinished.unlink(missing_ok=True)
    return count
