"""The forms of a search by the word in their address."""

from __future__ import annotations

from typing import Any

from diagnostics.searching import forms, posing_forms
from diagnostics.searching.confirming import confirmations_of
from diagnostics.searching.ending_forms import NameForm, confirm_form
from diagnostics.searching.forms import ActForm, take_form
from diagnostics.searching.thinking import Thought
from shop.models import RepairOrder

FORMS: dict[str, type[ActForm]] = {
    "undo": forms.UndoForm,
    "open": forms.ZoneForm,
    "cannot": forms.CannotForm,
    "again": forms.AgainForm,
    "two-faults": posing_forms.TwoFaultsForm,
    "map-anew": posing_forms.PoseAgainForm,
    "route": posing_forms.RouteForm,
    "name": NameForm,
    "stop": forms.StopForm,
}
ACTS = frozenset({"reading", "confirm", *FORMS})
# Forms with a page of their own; the others stand on the page of the search.
PLAIN = frozenset({"undo", "cannot", "route", "name", "stop", "confirm"})


def ask(kind: str, data: Any, thought: Thought, *, order: RepairOrder, user: Any, given: Any) -> Any:
    """Return the form of one act, bound where something was sent; None where it cannot be opened now."""
    if kind == "reading":
        test = (data or given).get("test", "")
        known = test in thought.search.listens and test in thought.terms.tests
        return take_form(thought, test, order=order, user=user, data=data) if known else None
    if kind == "confirm":
        wanted = (data or given).get("candidate", "")
        asked = confirmations_of(thought, thought.named, thought.tests) if thought.named else []
        one = next((one for one in asked if one.candidate == wanted), None)
        return confirm_form(thought, one, order=order, user=user, data=data) if one else None
    initial = {name: given[name] for name in FORMS[kind].base_fields if name in given}
    return FORMS[kind](data, thought=thought, order=order, user=user, initial=initial)
