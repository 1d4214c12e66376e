import json
import sys
from datetime import date

from django.core.management.base import BaseCommand
from django.utils import timezone

from diagnostics import demo as garage
from invoicing import demo


class Command(BaseCommand):
    help = "Load the demo shop: six stories and three years of ordinary jobs. Safe to run twice."

    def add_arguments(self, parser):
        parser.add_argument("--today", type=date.fromisoformat, metavar="DATE", help="the demo's today")
        parser.add_argument("--seed", type=int, default=garage.DEFAULT_SEED)
        parser.add_argument("--json", action="store_true", help="say what was done as JSON")

    def handle(self, *args, today, seed, json, **options):
        try:
            loaded = demo.load(
                today=today or timezone.localdate(), at=timezone.now(), seed=seed, progress=self._show
            )
        except demo.DemoRefused as refusal:
            self.stdout.write(str(refusal))
            return
        (self._say_json if json else self._say)(loaded)

    def _show(self, lines):
        if sys.stderr.isatty():
            self.stderr.write(f"\r{lines} lines of the demo read", ending="")

    def _say(self, loaded):
        if loaded.summary:
            self.stdout.write(
                f"The demo shop has {loaded.summary.created} jobs; {loaded.papers} papers are issued."
            )
        else:
            self.stdout.write("The demo shop is there already.")
        self.stdout.write(f"Sign in with one of these names; the password of each is {demo.PASSWORD}")
        for login in garage.staff():
            self.stdout.write(f"  {login.username:<8}{', '.join(login.roles):<18}{login.words}")

    def _say_json(self, loaded):
        created = loaded.summary.created if loaded.summary else 0
        self.stdout.write(json.dumps({"created": created, "papers": loaded.papers}))
