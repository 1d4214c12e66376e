"""From an assessed order to its findings sheet."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal, InvalidOperation
from typing import Protocol, TypeVar

from diagnostics.evidence import ChainStatus, Finding
from diagnostics.evidence.terms import Terms, best_outcome
from diagnostics.judging import is_blank
from diagnostics.snapshot import Attempt, Complaint, Instrument, Order, Vehicle
from invoicing import wording
from invoicing.findings import care, readings, steps
from invoicing.findings.done import did, done, refused, warning
from invoicing.findings.found import found
from invoicing.findings.names import Names
from invoicing.findings.proof import proof
from invoicing.findings.sheet import (
    Amount,
    Answer,
    Asked,
    Back,
    Covered,
    FindingsSheet,
    Found,
    Letterhead,
    Proof,
    Returned,
    Signal,
    Strip,
)
from invoicing.findings.unverified import unverified
from shared.moments import Moment
from shared.wording import EMPTY, count_text, distance_text, minutes_text, money_text

T = TypeVar("T")

STEPS_BACK = (
    "If it is not safe to drive, stop and switch off.",
    "Note when it happens: time, weather, speed, and any warning light.",
    "Call us before anybody changes a part, and bring this sheet. We will look at it first.",
)


class Assessed(Protocol):
    """An order with what the rules find in it and the chain of each symptom complaint."""

    @property
    def order(self) -> Order: ...

    @property
    def findings(self) -> tuple[Finding, ...]: ...

    @property
    def chains(self) -> tuple[ChainStatus, ...]: ...


def findings_sheet(
    assessed: Assessed,
    *,
    names: Names,
    shop: Letterhead,
    instruments: Mapping[str, Instrument],
    returned: Returned | None = None,
    covered: Covered | None = None,
    signals: Sequence[Signal] = (),
) -> FindingsSheet:
    """Return the findings sheet of one order.

    Parameters
    ----------
    assessed : Assessed
        The order, its findings, and the chain of each symptom complaint.
    names : Names
        Plain names by code; what is missing is told by its code in words.
    shop : Letterhead
        Whose paper it is.
    instruments : mapping of id to Instrument
        The shop's list; a reading that its instrument's accuracy proves neither within nor outside
        its limits is borderline.
    returned : Returned, optional
        The earlier job this one came back from.
    covered : Covered, optional
        The warranty in short.
    signals : sequence of Signal
        Recorded signals that were chosen for the sheet, in the order in which they were recorded.

    Returns
    -------
    FindingsSheet
        Text only. The same order and the same names give the same sheet.

    References
    ----------
    paperwork.md section 7 (order and content), section 12 (wording); practice.md section 7 (outcomes).
    """
    order, findings, chains = assessed.order, assessed.findings, assessed.chains
    terms = Terms(order, instruments)
    several = len(chains) > 1
    stories = [_story(terms, findings, chain, names, instruments, several=several) for chain in chains]
    pairs = readings.pairs(terms)
    strips = readings.strips(terms, [group[0] for group in pairs], names, instruments)
    rows = tuple(readings.row(pair, names, instruments) for group in pairs for pair in group)
    safety = [item for item in order.declined if item.risk == "safety"]
    return FindingsSheet(
        shop=shop,
        job=order.id,
        customer=order.customer.name if order.customer else "",
        vehicle=vehicle_text(order.vehicle),
        vin=order.vehicle.vin,
        arrived=_visit(order.opened, order.odo_in, order.odo_unit),
        left=_visit(order.returned, order.odo_out, order.odo_unit) if order.returned else "",
        tested_by=tuple(dict.fromkeys(c.test.by.strip() for c in terms.tests if not is_blank(c.test.by))),
        is_open=order.returned is None,
        answer=_answer(order, stories),
        warnings=_once(warning(item, terms, names, instruments) for item in safety),
        asked=tuple(_asked(complaint, names) for complaint in order.complaints),
        came_back=_came_back(returned),
        seen=_seen(terms, names, several=several),
        strips=strips,
        strip_note=_strip_note(strips),
        signals=tuple(signals),
        found=tuple(one for one, _ in stories),
        done=tuple(done(work) for work in order.work),
        proof=tuple(one for _, one in stories),
        unverified=unverified(terms, findings, names),
        watch=care.watch(terms, chains, names),
        cautions=care.cautions(order, chains),
        declined=_once(refused(item, terms, names, instruments) for item in order.declined),
        agreed=_agreed(order),
        cost=_cost(order),
        rows=rows,
        notes=_notes(terms, names),
        back=Back(STEPS_BACK, shop.phone, covered),
        foot=(wording.W_5, wording.W_0, wording.CARE),
        steps=steps.steps(order, findings, chains),
    )


def _once(values: Iterable[T]) -> tuple[T, ...]:
    """Each value once, in its order: one declined part may stand for two symptoms."""
    return tuple(dict.fromkeys(values))


def _story(
    terms: Terms,
    findings: tuple[Finding, ...],
    chain: ChainStatus,
    names: Names,
    instruments: Mapping[str, Instrument],
    *,
    several: bool,
) -> tuple[Found, Proof]:
    complaint = terms.complaints[chain.complaint]
    about = wording.sentence(names.symptom(complaint)).rstrip(".") if several else ""
    return (
        found(terms, findings, complaint, names, instruments, about=about),
        proof(terms, chain, complaint, names, instruments, about=about),
    )


def _answer(order: Order, stories: Sequence[tuple[Found, Proof]]) -> Answer:
    if not stories:
        return Answer(
            "You reported no fault.", did(order.work, order.declined), "There was no fault to prove gone."
        )
    sure = [
        f"{one.about + ': ' if one.about else ''}{one.strength}. {wording.sentence(proved.outcome)}"
        for one, proved in stories
    ]
    wrong = [f"{one.about + ': ' if one.about else ''}{one.text}" for one, _ in stories]
    return Answer(" ".join(wrong), did(order.work, order.declined), " ".join(sure))


def _asked(complaint: Complaint, names: Names) -> Asked:
    if complaint.kind != "symptom":
        what = "maintenance" if complaint.kind == "maintenance" else "an inspection"
        return Asked(wording.unquoted(complaint.text), f"We took this as {what}.")
    name = wording.sentence(f"we noted it as: {names.symptom(complaint)}")
    if not is_blank(complaint.symptom) and not is_blank(complaint.system):
        name = f"{name.rstrip('.')} ({names.system(complaint.system)})."
    pattern = {"constant": " It is always there.", "intermittent": " It comes and goes."}
    return Asked(wording.unquoted(complaint.text), name + pattern.get(complaint.pattern or "", ""))


def _came_back(returned: Returned | None) -> str:
    if returned is None:
        return ""
    apart = wording.listed([one for one in (returned.days, returned.distance) if one])
    return f"It came back to us {apart} after job {returned.job}."


def _seen(terms: Terms, names: Names, *, several: bool) -> tuple[str, ...]:
    lines = []
    for complaint in terms.symptoms:
        attempts = terms.attempts[complaint.id]
        about = f"{wording.sentence(names.symptom(complaint)).rstrip('.')}: " if several else ""
        first = {
            "reproduced": "yes.",
            "partly": "only partly.",
            "not_reproduced": "no, we could not make it happen.",
            "": "we did not try to see it.",
        }[best_outcome(attempts)]
        tries = " ".join(_attempt(attempt) for attempt in attempts)
        lines.append(f"{about}{first if about else wording.sentence(first)} {tries}".strip())
    return tuple(lines)


def _attempt(attempt: Attempt) -> str:
    shown = ""
    if attempt.n is not None and attempt.k is not None:
        how_often = f"it showed {wording.times(attempt.k)}" if attempt.k else "it did not show"
        shown = f", {how_often} in {count_text(attempt.n, 'try', 'tries')}"
    equipment = ", with test equipment connected" if attempt.equipment_connected else ""
    conditions = f" {wording.sentence(attempt.conditions)}" if not is_blank(attempt.conditions) else ""
    return f"{wording.weekday(attempt.on.on)}{shown}{equipment}.{conditions}"


def _visit(moment: Moment | None, odometer: Decimal | None, unit: str) -> str:
    if moment is None:
        return ""
    distance = distance_text(odometer, unit) if odometer is not None else "odometer not read"
    return f"{wording.weekday(moment.on)}, {distance}"


def vehicle_text(vehicle: Vehicle) -> str:
    """Return make, model, year and plate in one line."""
    name = " ".join(part for part in (vehicle.make, vehicle.model) if part)
    year = str(vehicle.year) if vehicle.year else ""
    return ", ".join(part for part in (name, year, vehicle.plate) if part) or f"Vehicle {vehicle.id}"


def _strip_note(strips: Sequence[Strip]) -> str:
    if not strips:
        return ""
    origins = list(dict.fromkeys(strip.row.whose for strip in strips if strip.row.whose))
    return f"Hatched: where the value should be. {wording.W_13.format(origins=wording.listed(origins))}"


def _notes(terms: Terms, names: Names) -> tuple[str, ...]:
    notes: dict[str, str] = {}
    for counted in terms.tests:
        origin = names.origin(counted.test)
        if readings.should_be(counted.test) and origin.says:
            notes.setdefault(
                counted.test.code, f"{names.test(counted.test.code)}: {wording.bare(origin.says)}."
            )
    return tuple(notes.values())


def _agreed(order: Order) -> tuple[str, ...]:
    return tuple(
        f"You agreed to {minutes_text(one.minutes)} of finding the fault on {wording.on_day(one.on)}."
        for one in order.authorisations
    )


def _cost(order: Order) -> tuple[Amount, ...]:
    charges = order.charges
    if charges is None:
        return ()
    lines = [
        ("Labour", charges.labour, False),
        ("Parts", charges.parts, False),
        ("Total", charges.total, True),
    ]
    return tuple(
        Amount(label, _money(amount, charges.currency), is_total)
        for label, amount, is_total in lines
        if not is_blank(amount)
    )


def _money(amount: str, currency: str) -> str:
    try:
        return money_text(Decimal(amount.strip()), currency) if currency else amount.strip()
    except InvalidOperation:
        return amount.strip() or EMPTY
