"""Was it measured, by what, and when was it written down? R4 to R8 and R10."""

from __future__ import annotations

from collections.abc import Iterator

from diagnostics.evidence import wording
from diagnostics.evidence.finding import Raised, Signature
from diagnostics.evidence.proof import is_assumption_open
from diagnostics.evidence.terms import Counted, Terms, is_signed
from diagnostics.judging import calibration_remark, is_blank, limits_fit_unit
from diagnostics.snapshot import Complaint, Instrument, RequiredStep, Test, Waiver


def required_skipped(terms: Terms) -> Iterator[Raised]:
    """R4: no done test of that code, phase and complaint. A valid waiver on the step explains it."""
    for _, _, raised in steps_not_done(terms):
        yield raised


def steps_not_done(terms: Terms) -> Iterator[tuple[Complaint, RequiredStep, Raised]]:
    """Yield each required step that was not done, with what R4 says of that step alone."""
    done = {(c.test.code.strip(), c.test.phase, c.test.complaint) for c in terms.tests}
    for complaint in terms.order.complaints:
        for step in complaint.required:
            if (step.code.strip(), step.phase, complaint.id) not in done:
                yield complaint, step, _skipped(terms, complaint, step)


def is_left_out(waiver: Waiver | None, *, critical: bool) -> bool:
    """Return whether a waiver explains its own step and rests on nothing else.

    A test that is required before and after the work has one finding for both steps, and a gap of one hides
    that the other is waived. Where this is true, the step itself is explained.

    Parameters
    ----------
    waiver : Waiver or None
        The waiver of the step; one that cites an assumption rests on that, and is left to the finding.
    critical : bool
        Whether the step asks for a second name.
    """
    if waiver is None or not is_signed(waiver.reason, waiver.by) or not is_blank(waiver.assumption):
        return False
    return not critical or waiver.approved_by not in ("", waiver.by)


def _skipped(terms: Terms, complaint: Complaint, step: RequiredStep) -> Raised:
    when = "before the work" if step.phase == "before" else "after the work"
    critical = "critical " if step.critical else ""
    text = (
        f"The {critical}step {wording.words(step.code)}, required {when} for {wording.said(complaint)}, was "
        "not done; do it, or waive it with a reason and a name."
    )
    waiver = step.waiver
    own = (
        (Signature(waiver.reason, waiver.by, waiver.approved_by),)
        if waiver and _stands(waiver, terms)
        else ()
    )
    return Raised("R4", f"{complaint.id}:{step.code}", text, (complaint.id,), step.critical, own)


def _stands(waiver: Waiver, terms: Terms) -> bool:
    """Whether a waiver may explain: signed, and an assumption it cites is on the order and not open."""
    if not is_signed(waiver.reason, waiver.by):
        return False
    if is_blank(waiver.assumption):
        return True
    cited = next((a for a in terms.order.assumptions if a.id == waiver.assumption), None)
    return cited is not None and not is_assumption_open(cited, terms)


def claimed(terms: Terms) -> Iterator[Raised]:
    """R5: a numeric test without value or unit, or an attribute test without observation."""
    for counted in terms.tests:
        test = counted.test
        if test.kind == "numeric" and (test.value is None or is_blank(test.unit)):
            missing = "value" if test.value is None else "unit"
            text = (
                f"The test {wording.step(test)} has no {missing}, so it is claimed and not measured; measure "
                "it and write down value and unit."
            )
            yield _on_test("R5", terms, counted, text)
        elif test.kind == "attribute" and is_blank(test.observation):
            text = (
                f"The test {wording.step(test)} has a verdict and no observation, so it is claimed and not "
                "seen; write down what was seen, heard or felt."
            )
            yield _on_test("R5", terms, counted, text)


def cannot_be_judged(terms: Terms) -> Iterator[Raised]:
    """R6: value and unit, not information only, and no limit or one of another kind of unit."""
    for counted in terms.tests:
        test = counted.test
        if not _is_measured(test) or test.info_only:
            continue
        read = f"{wording.step(test)}, {wording.quantity(test.value, test.unit)}"
        if test.lo is None and test.hi is None:
            text = (
                f"The reading {read}, has no limit; give a lower or upper limit, or mark it as for "
                "information only."
            )
            yield _on_test("R6", terms, counted, text)
        elif not limits_fit_unit(test):
            text = (
                f"The reading {read}, cannot be held against {wording.limits(test)}; give the limits in "
                f"{test.unit.strip()} or a unit of the same kind."
            )
            yield _on_test("R6", terms, counted, text)


def instrument_not_named(terms: Terms) -> Iterator[Raised]:
    """R7: value and unit, information only too, and no instrument of the shop's list."""
    for counted in terms.tests:
        test = counted.test
        if _is_measured(test) and test.instrument not in terms.instruments:
            read = f"{wording.step(test)}, {wording.quantity(test.value, test.unit)}"
            named = "names no instrument"
            if not is_blank(test.instrument):
                named = f"names “{test.instrument.strip()}”, which is not on the shop's list"
            text = f"The reading {read}, {named}; name the instrument of the list it was taken with."
            yield _on_test("R7", terms, counted, text)


def out_of_calibration(terms: Terms) -> Iterator[Raised]:
    """R8: a test of any kind by a listed instrument that was withdrawn, overdue or without due date."""
    for counted in terms.tests:
        test = counted.test
        instrument = terms.instruments.get(test.instrument)
        remark = calibration_remark(instrument, test.on.on) if instrument else ""
        if instrument and remark:
            yield _on_test("R8", terms, counted, _calibration_text(test, instrument, remark))


def _calibration_text(test: Test, instrument: Instrument, remark: str) -> str:
    what = "has no calibration due date"
    if remark == "withdrawn" and instrument.withdrawn_on:
        what = f"was withdrawn on {wording.day(instrument.withdrawn_on)}"
    elif remark == "overdue" and instrument.cal_due:
        what = f"was due for calibration on {wording.day(instrument.cal_due)}"
    return (
        f"{wording.opening(wording.step(test))} was read on {wording.day(test.on.on)} with {instrument.id}, "
        f"which {what}; read it again with an instrument in date, or explain why this reading may stand."
    )


def entered_late(terms: Terms) -> Iterator[Raised]:
    """R10: a cited phase-before test entered on a later date than the reason-cause work it stands behind.

    Dates are compared, not times: an entry made on the evening of the work's day is not late.
    """
    late: dict[int, tuple[Counted, list[str], str]] = {}
    for done in terms.work:
        for counted in done.cited if done.is_for_cause else ():
            entered = (counted.test.entered_on or counted.test.on).on
            if counted.is_before and entered > done.work.on.on:
                step = wording.opening(wording.step(counted.test))
                text = (
                    f"{step} was entered on {wording.day(entered)}, after the work on "
                    f"{wording.words(done.work.component)} of {wording.day(done.work.on.on)} that rests on "
                    "it; explain when it was read and why it was written down later."
                )
                late.setdefault(counted.place.position, (counted, [], text))[1].append(done.complaint)
    for position in sorted(late):
        counted, complaints, text = late[position]
        yield Raised("R10", counted.test.id, text, terms.complaints_of(counted.test.complaint, *complaints))


def _is_measured(test: Test) -> bool:
    return test.kind == "numeric" and test.value is not None and not is_blank(test.unit)


def _on_test(rule: str, terms: Terms, counted: Counted, text: str) -> Raised:
    return Raised(rule, counted.test.id, text, terms.complaints_of(counted.test.complaint))
