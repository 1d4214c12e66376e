"""The whole audit of a scope as plain values, as the command `audit --json` prints it."""

from __future__ import annotations

from typing import Any

from diagnostics.audit.scope import Scope


def answer(scope: Scope, by: str = "") -> dict[str, Any]:
    """Return the audit of a scope; `by` adds the rows of one breakdown."""
    raise NotImplementedError
