import os
import signal
import socket
import subprocess
import sys
import time

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError


class Command(BaseCommand):
    help = "Prepare the database, load the starter library and the demo shop, and serve the site."

    def add_arguments(self, parser):
        parser.add_argument("--port", type=int, default=8000)
        parser.add_argument("--host", default="127.0.0.1")
        parser.add_argument("--threads", type=int, default=4)

    def handle(self, *args, port, host, threads, **options):
        _check_free(host, port)
        call_command("migrate", verbosity=0)
        call_command("collectstatic", interactive=False, verbosity=0)
        call_command("load_catalogue", verbosity=0)
        call_command("load_demo")
        self.stdout.write(f"\nHoldfast is at http://{host}:{port}/   (stop it with Ctrl-C)\n")
        if settings.REDIS_URL:
            self.stdout.write("Background work waits for a worker: .venv/bin/celery -A shared worker --beat")
        self.stdout.flush()
        # Being told to stop must not leave the processes below running.
        signal.signal(signal.SIGTERM, signal.default_int_handler)
        helper = None if settings.REDIS_URL else _start([sys.executable, "manage.py", "work"])
        server = _start(_gunicorn(host, port, threads))
        try:
            _wait_for_either(server, helper)
        except KeyboardInterrupt:
            pass
        finally:
            for process in filter(None, (server, helper)):
                process.terminate()
                process.wait()


def _start(command):
    return subprocess.Popen(command, cwd=settings.BASE_DIR)


def _gunicorn(host, port, threads):
    return [
        sys.executable,
        "-m",
        "gunicorn",
        "shared.wsgi",
        f"--bind={host}:{port}",
        f"--workers={min(2, os.cpu_count() or 1)}",
        f"--threads={threads}",
        "--max-requests=1000",
        "--max-requests-jitter=100",
        "--access-logfile=/dev/null",
        "--log-level=warning",
    ]


def _check_free(host, port):
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, port))
        except OSError:
            raise CommandError(f"Port {port} is taken. Choose another: make run PORT={port + 1}") from None


def _wait_for_either(server, helper):
    while server.poll() is None:
        if helper is not None and helper.poll() is not None:
            raise CommandError("Background work stopped; see the lines above.")
        time.sleep(0.5)
    if server.returncode:
        raise CommandError("The server stopped; see the lines above.")
