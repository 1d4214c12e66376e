import signal
import time

from django.core.management.base import BaseCommand
from django.db import close_old_connections
from django.utils import timezone

from shared import outbox


class Command(BaseCommand):
    help = (
        "Do the background work that waits, then keep watching for more. One process is enough without Redis."
    )

    def add_arguments(self, parser):
        parser.add_argument("--once", action="store_true", help="do what waits now, then stop")
        parser.add_argument("--every", type=float, default=1.0, help="seconds between looks (default 1)")

    def handle(self, *args, once, every, **options):
        signal.signal(signal.SIGTERM, signal.default_int_handler)
        try:
            self._work(once, every)
        except KeyboardInterrupt:
            self.stdout.write("Stopped; what was not finished waits for the next start.")

    def _work(self, once, every):
        while True:
            outbox.ask_regular(now=timezone.now())
            done = outbox.drain()
            if once:
                self.stdout.write(f"{done} done")
                return
            close_old_connections()
            time.sleep(every)
