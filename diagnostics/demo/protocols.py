"""What the catalogue asks for and how its tests are judged, in the shape of exchange lines."""

from __future__ import annotations

from typing import Any

from diagnostics import catalogue
from diagnostics.catalogue import Symptom, TestKind


def test_kind(code: str) -> TestKind:
    """Return the catalogue's test of that code; refuses a code it does not have."""
    return catalogue.load().tests[code]


def symptoms() -> list[Symptom]:
    """Return every symptom of the catalogue, in the order of its files."""
    return list(catalogue.load().symptoms.values())


def required_steps(symptom: str) -> list[dict[str, Any]]:
    """Return the required steps of the protocol in force for `symptom`, nothing waived yet."""
    steps = catalogue.load().protocols[symptom].steps
    return [
        {"code": step.test, "phase": step.phase, "critical": step.critical, "waiver": None} for step in steps
    ]
