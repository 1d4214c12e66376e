import atexit
import os
import shutil
import tempfile
from urllib.parse import urlsplit

import django.conf
import hypothesis
import pytest

# For processes that tests start: settings of this one are read before this file, from the environment.
if "DATA_DIR" not in os.environ:
    os.environ["DATA_DIR"] = tempfile.mkdtemp(prefix="holdfast-tests-")
    atexit.register(shutil.rmtree, os.environ["DATA_DIR"], ignore_errors=True)
os.environ.setdefault("SECRET_KEY", "only-for-tests-" + "x" * 40)
if os.environ.get("REDIS_URL"):
    # Each process of the suite hints in a Redis database of its own, lest a worker do another's work.
    process = int(os.environ.get("PYTEST_XDIST_WORKER", "gw0").removeprefix("gw"))
    own = urlsplit(os.environ["REDIS_URL"])._replace(path=f"/{process + 1}")
    os.environ["CELERY_BROKER_URL"] = own.geturl()

# A busy machine must not fail a property that holds.
hypothesis.settings.register_profile(
    "steady", deadline=None, suppress_health_check=[hypothesis.HealthCheck.too_slow]
)
hypothesis.settings.load_profile("steady")


@pytest.fixture(scope="session")
def django_db_modify_db_settings(django_db_modify_db_settings_parallel_suffix):
    """Close a connection with its request: one left open keeps the database from being dropped."""
    for entry in django.conf.settings.DATABASES.values():
        entry["CONN_MAX_AGE"] = 0


@pytest.fixture(autouse=True)
def _plain_settings(settings):
    """Static files without a manifest, quick password hashes; everything else as in production."""
    settings.STORAGES = {
        **settings.STORAGES,
        "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
    }
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
