"""A step that goes with more comebacks stands among what hurts most, with its page."""

from datetime import date

import pytest
from django.urls import reverse

from diagnostics.audit.pages.hurts import worst
from diagnostics.audit.pages.standing_out import standing_out
from diagnostics.audit.scope import Scope
from tests.factories import WatchedCheckFactory, WatchedJobFactory

pytestmark = pytest.mark.django_db


def test_a_skipped_step_that_goes_with_more_comebacks_stands_out():
    vehicle = WatchedJobFactory().vehicle
    for state, jobs, back in (("done", 40, 2), ("skipped", 24, 12)):
        for place in range(jobs):
            job = WatchedJobFactory(order__vehicle=vehicle, back_days=9 if place < back else None)
            WatchedCheckFactory(job=job, state=state)

    step = next(hurt for hurt in worst(standing_out(Scope(as_of=date(2026, 9, 1)))) if hurt.kind == "step")

    assert (step.count, step.of) == (12, 24)
    assert step.name.endswith("left out before the repair")
    assert step.say.startswith("50.0 % came back where it was left out, 5.0 % elsewhere.")
    assert step.beyond == pytest.approx(24 * (12 / 24 - 2 / 40))
    assert step.url.startswith(reverse("audit-step", args=["standing_draw", "before"]))
