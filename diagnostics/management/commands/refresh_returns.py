import sys

from django.core.management.base import BaseCommand
from django.utils import timezone

from diagnostics import returns


class Command(BaseCommand):
    help = "Recompute every pair of visits of one vehicle. The nightly task does the same."

    def handle(self, *args, **options):
        changed = returns.refresh_all(at=timezone.now(), progress=self._show)
        self.stdout.write(f"{changed} pairs written")

    def _show(self, done, total):
        if sys.stderr.isatty():
            self.stderr.write(f"\r{done} of {total} vehicles", ending="")
