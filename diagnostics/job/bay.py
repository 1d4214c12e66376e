"""The bay: which test comes next, and the one line it is recorded with."""

from __future__ import annotations

from django.utils.functional import cached_property

from diagnostics.job.forms.readings import ReadingForm
from diagnostics.job.on_order import plain_name, reading_words
from diagnostics.job.page import JobPage
from diagnostics.job.steps import Step


class Bay:
    """What the technician sees: the next required step, the last reading kept, the steps left."""

    def __init__(
        self, page: JobPage, *, form: ReadingForm | None = None, wanted: str = "", has_kept: bool = False
    ) -> None:
        self.page, self._form, self._wanted, self._has_kept = page, form, wanted, has_kept

    @cached_property
    def next(self) -> Step | None:
        """The step on the screen: the one that is being typed, the one asked for, else the next open one."""
        if self._form is not None:
            return next((step for step in self.steps if self._is_typed(step)), None)
        if self._wanted.isdigit():
            return next((step for step in self.steps if step.row.pk == int(self._wanted)), None)
        return next(iter(self.open_steps), None)

    @property
    def steps(self) -> list[Step]:
        return self.page.steps

    @cached_property
    def open_steps(self) -> list[Step]:
        return self.page.due_steps()

    @cached_property
    def form(self) -> ReadingForm | None:
        if self._form is not None:
            return self._form
        if self.next is None or not self.page.order.is_open:
            return None
        form = self.page.reading_form(self.next, back="bay")
        if self._has_kept and "reading" in form.fields:
            # From one reading straight to the next. At the first, the cautions are read from the top.
            form.fields["reading"].widget.attrs["autofocus"] = True
        return form

    @property
    def draft(self) -> str:
        return f"order-{self.page.order.pk}-{self.next.key}" if self.next else ""

    @property
    def full_url(self) -> str:
        return self.page.full_url(self.next) if self.next else ""

    @property
    def waiver_url(self) -> str:
        return self.page.gaps.url("waiver", self.next.row.pk) if self.next else ""

    @cached_property
    def last_kept(self) -> str:
        """The reading that was entered last, as it was kept."""
        runs = [run for run in self.page.records.tests.values() if run.entered_at]
        if not runs:
            return ""
        last = max(runs, key=lambda run: (run.entered_at, run.pk))
        test = next(test for test in self.page.snapshot.tests if test.id == last.ref)
        return f"{plain_name(test.code, self.page.kinds)}: {reading_words(test, self.page.instruments)}"

    def _is_typed(self, step: Step) -> bool:
        typed = (self._form["code"].value(), self._form["phase"].value(), self._form["complaint"].value())
        return (step.row.code, step.row.phase, step.row.complaint.ref) == typed
