import os
import tempfile

# Tests keep nothing beside the checkout; a database or Redis given by the environment is used as it is.
os.environ.setdefault("DATA_DIR", tempfile.mkdtemp(prefix="holdfast-tests-"))
os.environ.setdefault("SECRET_KEY", "only-for-tests-" + "x" * 40)

import pytest


@pytest.fixture(autouse=True)
def _plain_settings(settings):
    """Static files without a manifest, quick password hashes; everything else as in production."""
    settings.STORAGES = {
        **settings.STORAGES,
        "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
    }
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
