"""What asking costs while Redis is away: a short wait, and no work is lost."""

import os
import socket
import subprocess
import sys

import pytest
from django.conf import settings

from shared.models import OutboxRow
from tests.services.conftest import database_url

pytestmark = [pytest.mark.services, pytest.mark.django_db(transaction=True)]

LONGEST_WAIT_SECONDS = 10  # Time-outs make about 3 s; a busy machine takes its share. Untuned, it never ends.


@pytest.fixture
def mute_port():
    """A port that takes connections and never answers."""
    with socket.create_server(("127.0.0.1", 0)) as server:
        yield server.getsockname()[1]


@pytest.fixture
def closed_port():
    """A port at which nobody listens."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        yield probe.getsockname()[1]


def seconds_of_asking(port):
    url = f"redis://127.0.0.1:{port}/0"
    environ = {**os.environ, "DATABASE_URL": database_url(), "REDIS_URL": url, "CELERY_BROKER_URL": url}
    asked = subprocess.run(
        [sys.executable, "-m", "tests.services.asking", "a"],
        cwd=settings.BASE_DIR,
        env=environ,
        capture_output=True,
        text=True,
        timeout=120,
    )
    assert asked.returncode == 0, asked.stderr
    assert "OperationalError" in asked.stderr
    return float(asked.stdout)


def test_asking_while_redis_refuses_takes_a_moment_and_keeps_the_work(closed_port):
    assert seconds_of_asking(closed_port) < LONGEST_WAIT_SECONDS
    assert OutboxRow.objects.filter(key="a", done_at__isnull=True).exists()


def test_asking_while_redis_never_answers_takes_a_moment_and_keeps_the_work(mute_port):
    assert seconds_of_asking(mute_port) < LONGEST_WAIT_SECONDS
    assert OutboxRow.objects.filter(key="a", done_at__isnull=True).exists()
