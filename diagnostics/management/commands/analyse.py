import sys
import time
from dataclasses import asdict
from json import dumps

from django.core.management.base import BaseCommand
from django.utils import timezone

from diagnostics import watching
from diagnostics.models import Recount


class Command(BaseCommand):
    help = (
        "Compute anew which visits are comebacks and what the audit counts. Reviews stay. The work of each "
        "day does the same."
    )

    def add_arguments(self, parser):
        parser.add_argument(
            "--processes", type=int, help="how many read and compute (default: as many as cores)"
        )
        parser.add_argument("--json", action="store_true", help="say what was done as JSON")

    def handle(self, *args, json, processes, **options):
        started = time.monotonic()
        processes = processes or watching.usual_processes()
        written = watching.recount(at=timezone.now(), processes=processes, progress=self._show)
        seconds = time.monotonic() - started
        orders = Recount.objects.latest("pk").total
        if sys.stderr.isatty():
            self.stderr.write("")
        if json:
            rows = {f"{name}_written": count for name, count in asdict(written).items()}
            self.stdout.write(dumps({"orders": orders, "seconds": round(seconds, 3), **rows}))
        else:
            self.stdout.write(
                f"{orders:,} orders in {seconds:.1f} s; written: {written.pairs:,} pairs of visits, "
                f"{written.jobs:,} jobs, {written.checks:,} of what they were asked for"
            )

    def _show(self, done, total):
        if sys.stderr.isatty():
            self.stderr.write(f"\r{done:,} of {total:,} orders", ending="")
