"""The forms of a new version of a protocol, with a change that a proposal brings along."""

from __future__ import annotations

from diagnostics.learning.forms import AimForm
from diagnostics.library.forms import ProtocolReasonForm, Steps
from diagnostics.models import TestKind
from diagnostics.models.protocol import MOST_STEPS
from shop.models import System

LONGEST_REASON = 300


def forms(request, current):
    """Return the forms of the page: the steps, why they change, and what that should change."""
    data = request.POST or None
    tests = [(system or "Other", choices) for system, choices in _tests_by_system(current.system).items()]
    initial = brought(request, current)
    rows = initial["steps"] + [{}] * (MOST_STEPS - len(initial["steps"]))
    return {
        "steps": Steps(data, initial=rows, form_kwargs={"tests": tests}, prefix="steps"),
        "reason": ProtocolReasonForm(data, initial={"reason": initial["reason"]}),
        "aim": AimForm(data, tests=tests, initial={"step_code": initial["add"]}, prefix="aim"),
    }


def brought(request, current):
    """Return the steps as a proposal would change them: `drop`, `add` or `critical` name a test."""
    drop, add, critical = (request.GET.get(name, "") for name in ("drop", "add", "critical"))
    steps = [
        {"test": step.test_code, "phase": step.phase, "critical": step.critical or step.test_code == critical}
        for step in current.steps.all()
        if not (step.test_code == drop and step.phase == "before")
    ]
    is_full = bool(add) and len(steps) >= MOST_STEPS
    if add and not is_full:
        steps.append({"test": add, "phase": "before", "critical": False})
    return {
        "steps": steps,
        "reason": request.GET.get("reason", "")[:LONGEST_REASON],
        "add": add or critical,
        "is_full": is_full,
    }


def _tests_by_system(first):
    """The tests as grouped choices, those of the protocol's own system first."""
    names = dict(System.objects.values_list("code", "name"))
    groups = {names.get(first, first): []}
    for kind in TestKind.objects.filter(is_current=True).order_by("system", "name"):
        groups.setdefault(names.get(kind.system, kind.system), []).append((kind.code, kind.name))
    return groups
