"""A Celery worker as its own process, on the test database and the Redis of the environment."""

import os
import subprocess
import sys
import time
from contextlib import contextmanager

import pytest
from django.conf import settings
from django.db import connection

from shared.celery import app

HOW = 'Needs PostgreSQL and Redis: eval "$(.ci/services start DIR)" sets DATABASE_URL and REDIS_URL.'
PATIENCE_SECONDS = 60


def pytest_runtest_setup(item):
    if not (settings.REDIS_URL and connection.vendor == "postgresql"):
        pytest.skip(HOW)


def until(fact):
    """Wait until something is so; give up after a while."""
    deadline = time.monotonic() + PATIENCE_SECONDS
    while not fact():
        assert time.monotonic() < deadline, f"waited {PATIENCE_SECONDS} s in vain"
        time.sleep(0.05)


def database_url():
    """The address of the test database, for a process of its own."""
    entry = connection.settings_dict
    secret = f":{entry['PASSWORD']}" if entry["PASSWORD"] else ""
    return f"postgresql://{entry['USER']}{secret}@{entry['HOST']}:{entry['PORT']}/{entry['NAME']}"


@contextmanager
def a_worker(pool, log):
    """A worker that takes work, until the end of the block."""
    command = [sys.executable, "-m", "celery", "-A", "shared", "worker", "--pool", pool, "--concurrency", "2"]
    quiet = ["--without-gossip", "--without-mingle", "--include", "tests.services.work", "--loglevel", "INFO"]
    environ = {**os.environ, "DATABASE_URL": database_url(), "REDIS_URL": settings.REDIS_URL}
    with log.open("w") as written:
        process = subprocess.Popen(
            [*command, *quiet], cwd=settings.BASE_DIR, env=environ, stdout=written, stderr=subprocess.STDOUT
        )
    try:
        until(lambda: process.poll() is not None or "ready." in log.read_text())
        assert process.poll() is None, log.read_text()
        yield process
    finally:
        process.terminate()
        try:
            process.wait(timeout=20)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()


@pytest.fixture(scope="module", params=["prefork"])
def worker(request, django_db_setup, django_db_blocker, tmp_path_factory):
    """A worker for all tests of a module."""
    log = tmp_path_factory.mktemp("worker") / "log"
    with django_db_blocker.unblock():
        app.control.purge()
        with a_worker(request.param, log) as process:
            yield process


@pytest.fixture
def written(tmp_path):
    """The file into which work writes its lines."""
    return tmp_path / "written"
