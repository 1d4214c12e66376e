"""What the start says when a variable cannot work; each one by itself: tests/shared/test_environment.py."""

import os
import subprocess
import sys

import pytest
from django.conf import settings


def start_with(tmp_path, **variables):
    """Return how `manage.py check` ends with these variables in its environment."""
    return subprocess.run(
        [sys.executable, "manage.py", "check"],
        cwd=settings.BASE_DIR,
        env={**os.environ, "DATA_DIR": str(tmp_path), **variables},
        capture_output=True,
        text=True,
        timeout=120,
    )


@pytest.mark.parametrize(
    ("name", "value", "says"),
    [
        ("SITE_URL", "shop.example", "SITE_URL is 'shop.example'. Write http:// or https:// and the host."),
        ("DATABASE_URL", "mysql://db/shop", "DATABASE_URL begins with 'mysql'. Write postgresql://"),
    ],
)
def test_a_value_that_cannot_work_stops_the_start_and_names_its_variable(tmp_path, name, value, says):
    ended = start_with(tmp_path, **{name: value})

    assert ended.returncode != 0
    assert says in ended.stderr
