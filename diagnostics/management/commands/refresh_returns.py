import sys
from json import dumps

from django.core.management.base import BaseCommand
from django.utils import timezone

from diagnostics import watching


class Command(BaseCommand):
    help = "Recompute every pair of visits of one vehicle. The nightly task does the same."

    def add_arguments(self, parser):
        parser.add_argument("--json", action="store_true", help="say what was done as JSON")

    def handle(self, *args, json, **options):
        changed = watching.recount(at=timezone.now(), progress=self._show).pairs
        told = f"{changed} {'pair' if changed == 1 else 'pairs'} written"
        self.stdout.write(dumps({"pairs_written": changed}) if json else told)

    def _show(self, done, total):
        if sys.stderr.isatty():
            self.stderr.write(f"\r{done} of {total} vehicles", ending="")
