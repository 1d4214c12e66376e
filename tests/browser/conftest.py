"""A real browser on a live server. The shop is put on record once a module, not once a test."""

import os
import shutil

# The browser's own loop runs in the thread of the tests; the tests themselves are plain code.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "1")

import pytest
from django.core.management import call_command
from django.db import connection
from django.test.utils import override_settings
from playwright.sync_api import sync_playwright
from pytest_django.live_server_helper import LiveServer

from tests.browser import garage
from tests.browser.people import CHROMIUM_ARGS, Windows

CHROMIUM = os.environ.get("CHROMIUM") or shutil.which("chromium")


def pytest_collection_modifyitems(items):
    here = os.path.dirname(__file__)
    for item in items:
        if str(item.path).startswith(here):
            item.add_marker("browser")


@pytest.fixture(scope="session")
def browser(django_db_setup):
    # The database is set up before the browser's loop runs: after that, each connection is a new one, and a
    # database in memory lives as long as the first.
    if not CHROMIUM:
        pytest.skip("There is no Chromium. Install it, or name one in CHROMIUM.")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=CHROMIUM_ARGS)
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def site(browser, django_db_blocker):
    """The address of a server that works on the database of the tests."""
    with django_db_blocker.unblock(), override_settings(ALLOWED_HOSTS=["localhost", "testserver"]):
        server = LiveServer("localhost")
        yield server.url
        server.stop()
        _end_other_sessions()


def _end_other_sessions():
    """Leave no session open that would keep PostgreSQL from dropping the database.

    A thread of the server may have been cut off in the middle of a request; and beside the browser's loop
    this thread has a connection of its own.
    """
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute(
                "SELECT pg_terminate_backend(pid) FROM pg_stat_activity "
                "WHERE datname = current_database() AND pid <> pg_backend_pid()"
            )
        connection.close()


@pytest.fixture(scope="module")
def db(site, django_db_blocker):
    """The database, open to a whole module and emptied after it; stands in for the plain `db`."""
    with django_db_blocker.unblock():
        yield
        call_command("flush", interactive=False, verbosity=0)


@pytest.fixture(scope="module")
def places(db):
    """The shop of the stories, put on record once a module."""
    with override_settings(PASSWORD_HASHERS=["django.contrib.auth.hashers.MD5PasswordHasher"]):
        return garage.open_shop()


@pytest.fixture
def windows(browser, site, places):
    """Opens pages as a person of the shop; whatever a page complains of in its console fails the test."""
    windows = Windows(browser, site)
    yield windows
    windows.close()
    assert windows.complaints == []
