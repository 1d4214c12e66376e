"""Addresses inside the audit that ask the same question."""

from __future__ import annotations

from collections.abc import Mapping
from urllib.parse import urlencode

from django.urls import reverse

from diagnostics.audit.scope import Scope


def query_of(scope: Scope) -> dict[str, str]:
    """Return the parts of an address that ask what a scope asks; the day of the count is always today."""
    asked = {
        "since": scope.since.isoformat() if scope.since else "",
        "until": scope.until.isoformat() if scope.until else "",
        "location": scope.location,
        "system": scope.system,
        "counted": scope.counted,
    }
    return {name: value for name, value in asked.items() if value}


def jobs_url(query: Mapping[str, str], *which: Mapping[str, str]) -> str:
    """Return the address of the jobs behind a figure: of a question, and of the parts of it named."""
    asked = dict(query)
    for one in which:
        asked |= one
    return f"{reverse('audit-jobs')}?{urlencode(asked)}"
