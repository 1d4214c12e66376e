"""One repair order as frozen values: what rules, comebacks, papers and exchange read.

Field names follow the exchange form (`job-history.schema.json`). Ids are the shop's own
and are unique inside their list; a citation is such an id and may name nothing. Text that
was not given is an empty string, a number, date or choice that was not given is None.
Numbers are decimals as written, so that 12.30 keeps its last digit.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from shared.moments import Moment


@dataclass(frozen=True, slots=True)
class Location:
    """The shop an order belongs to; its window is the comeback policy."""

    id: str
    name: str = ""
    time_zone: str = "UTC"
    single_person: bool = False
    window_days: int = 90
    window_km: Decimal = Decimal(6000)


@dataclass(frozen=True, slots=True)
class Vehicle:
    """Who the vehicle is; `id` is the shop's own."""

    id: str
    vin: str = ""
    plate: str = ""
    year: int | None = None
    make: str = ""
    model: str = ""
    engine: str = ""
    left_on: date | None = None


@dataclass(frozen=True, slots=True)
class Customer:
    """Who brought the vehicle."""

    id: str
    name: str = ""
    phone: str = ""
    email: str = ""


@dataclass(frozen=True, slots=True)
class InstrumentRange:
    """One range of an instrument, with its accuracy as the maker states it. The exchange form has none."""

    unit: str
    low: Decimal
    high: Decimal
    resolution: Decimal | None
    accuracy_text: str


@dataclass(frozen=True, slots=True)
class Instrument:
    """One instrument of the shop's list. `accuracy` is absolute, in the unit of the reading.

    `ranges` are the shop's own; they are not exchanged, and no rule of practice.md reads them.
    """

    id: str
    kind: str = ""
    cal_required: bool = True
    cal_due: date | None = None
    withdrawn_on: date | None = None
    accuracy: Decimal | None = None
    accuracy_text: str = ""
    ranges: tuple[InstrumentRange, ...] = ()


@dataclass(frozen=True, slots=True)
class SignedReason:
    """Why, and who says so: a disposition or an acceptance."""

    reason: str
    by: str


@dataclass(frozen=True, slots=True)
class Attempt:
    """One try to see the complaint before the repair: shown k times in n tries."""

    on: Moment
    outcome: str  # reproduced, partly, not_reproduced
    conditions: str = ""
    n: int | None = None
    k: int | None = None
    equipment_connected: bool = False


@dataclass(frozen=True, slots=True)
class TrialPlan:
    """How many clean trials, under which conditions, will count as proof."""

    n: int
    conditions: str = ""


@dataclass(frozen=True, slots=True)
class Waiver:
    """A signed reason for leaving a required step out."""

    reason: str
    by: str
    approved_by: str = ""
    assumption: str = ""


@dataclass(frozen=True, slots=True)
class RequiredStep:
    """One step of the protocol in force when the complaint was entered."""

    code: str
    phase: str = "before"
    critical: bool = False
    waiver: Waiver | None = None


@dataclass(frozen=True, slots=True)
class Suspect:
    """A component that could be the cause; state open, ruled_out or confirmed."""

    component: str
    state: str
    evidence: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Complaint:
    """What the customer reports; kind symptom, maintenance or inspection."""

    id: str
    kind: str
    text: str
    system: str = ""
    symptom: str = ""
    component: str = ""
    pattern: str | None = None  # constant, intermittent
    attempts: tuple[Attempt, ...] = ()
    plan: TrialPlan | None = None
    required: tuple[RequiredStep, ...] = ()
    suspects: tuple[Suspect, ...] = ()
    difficulty: int | None = None


@dataclass(frozen=True, slots=True)
class Test:
    """One test with its reading, attribute or code; the verdict is computed, never stored."""

    id: str
    code: str
    phase: str  # before, after
    kind: str  # numeric, attribute, code
    on: Moment
    point: str = ""
    complaint: str = ""
    value: Decimal | None = None
    unit: str = ""
    lo: Decimal | None = None
    hi: Decimal | None = None
    limit_unit: str = ""
    result: str | None = None  # pass, fail
    observation: str = ""
    info_only: bool = False
    instrument: str = ""
    by: str = ""
    entered_on: Moment | None = None
    isolates: str = ""
    repeatable: bool = True
    status: str = "done"  # done, not_applicable
    disposition: SignedReason | None = None


@dataclass(frozen=True, slots=True)
class Cause:
    """One component and failure mode, tied to the tests that prove it."""

    id: str
    complaint: str
    component: str
    statement: str = ""
    mode: str = ""
    evidence: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Part:
    """The part fitted in one work item."""

    description: str = ""
    number: str = ""
    quantity: str = ""
    condition: str | None = None  # new, used, rebuilt, reconditioned
    supplier: str = ""
    batch: str = ""


@dataclass(frozen=True, slots=True)
class Work:
    """One thing done to one component, and why."""

    id: str
    kind: str  # replace, repair, clean, adjust, reset
    component: str
    reason: str  # cause, maintenance, access, consequential, customer_request
    on: Moment
    complaint: str = ""
    cause: str = ""
    evidence: tuple[str, ...] = ()
    safety: bool = False
    by: str = ""
    note: str = ""
    failure_analysis: str = ""
    part: Part | None = None


@dataclass(frozen=True, slots=True)
class TrialSeries:
    """n tries of the complaint's own conditions after the repair, and how often it came back."""

    complaint: str
    on: Moment
    n: int
    recurrences: int
    conditions_match: bool = True
    equipment_connected: bool = False


@dataclass(frozen=True, slots=True)
class Check:
    """An independent check of one work item."""

    work: str
    by: str
    on: Moment


@dataclass(frozen=True, slots=True)
class Assumption:
    """Anything relied on and not tested."""

    id: str
    text: str
    bears_on: str = ""
    status: str | None = None  # open, confirmed, refuted, accepted
    evidence: tuple[str, ...] = ()
    accepted: SignedReason | None = None


@dataclass(frozen=True, slots=True)
class Event:
    """Something that happened at a moment: an intervention, equipment connected, a symptom change."""

    id: str
    at: Moment
    kind: str  # intervention, equipment, symptom
    what: str
    complaint: str = ""
    change: str = ""


@dataclass(frozen=True, slots=True)
class Claim:
    """The statement that an event fixed or triggered the complaint."""

    id: str
    complaint: str
    event: str
    role: str  # fix, trigger


@dataclass(frozen=True, slots=True)
class Phase:
    """One phase of a reversal: the condition, whether the symptom was present, in n tries."""

    condition: str
    present: bool
    n: int


@dataclass(frozen=True, slots=True)
class Reversal:
    """Phases in the order they were run, for one event."""

    event: str
    phases: tuple[Phase, ...] = ()


@dataclass(frozen=True, slots=True)
class Declined:
    """Work that is known, not done, and whether the customer was told."""

    id: str
    component: str
    risk: str  # safety, progressive, comfort
    system: str = ""
    symptom: str = ""
    informed_on: date | None = None
    follow_up_on: date | None = None
    test: str = ""


@dataclass(frozen=True, slots=True)
class Authorisation:
    """Minutes of diagnosis that the customer agreed to."""

    minutes: int
    on: Moment


@dataclass(frozen=True, slots=True)
class TimeEntry:
    """Minutes one person worked; kind diagnosis or repair."""

    by: str
    on: Moment
    minutes: int
    kind: str
    complaint: str = ""


@dataclass(frozen=True, slots=True)
class HandOff:
    """What one person passed to the next. None for a list that was not written at all."""

    complaint: str
    giver: str
    receiver: str
    on: Moment
    known: str = ""
    ruled_out: tuple[str, ...] | None = None
    suspected: tuple[str, ...] | None = None
    next: str = ""
    acknowledged_by: str = ""


@dataclass(frozen=True, slots=True)
class PlannedReturn:
    """A return that was agreed before the vehicle was handed back."""

    id: str
    recorded_on: date
    due_on: date | None = None
    reason: str = ""
    system: str = ""


@dataclass(frozen=True, slots=True)
class OutsideEvent:
    """Damage, or another person's work, between an earlier order and this one."""

    kind: str  # damage, other_work
    on: date
    system: str
    evidence: str = ""


@dataclass(frozen=True, slots=True)
class Explanation:
    """A named person's reason for leaving a finding as it is."""

    rule: str
    subject: str
    reason: str
    by: str
    approved_by: str = ""


@dataclass(frozen=True, slots=True)
class Charges:
    """What the visit cost, as the shop's books say it."""

    currency: str = ""
    labour: str = ""
    parts: str = ""
    total: str = ""
    unbilled_minutes: int | None = None


@dataclass(frozen=True, slots=True)
class Order:
    """One visit of one vehicle, whole."""

    id: str
    vehicle: Vehicle
    opened: Moment
    location: Location = field(default_factory=lambda: Location(""))
    customer: Customer | None = None
    technician: str = ""
    visit: str = "symptom"  # symptom, planned, maintenance
    planned_ref: str = ""
    since_repair: bool = False
    returned: Moment | None = None
    odo_in: Decimal | None = None
    odo_out: Decimal | None = None
    odo_unit: str = "km"
    outcome: str | None = None  # repaired, no_fault_found, monitor, declined_all
    complaints: tuple[Complaint, ...] = ()
    tests: tuple[Test, ...] = ()
    causes: tuple[Cause, ...] = ()
    work: tuple[Work, ...] = ()
    trials: tuple[TrialSeries, ...] = ()
    checks: tuple[Check, ...] = ()
    assumptions: tuple[Assumption, ...] = ()
    events: tuple[Event, ...] = ()
    claims: tuple[Claim, ...] = ()
    reversals: tuple[Reversal, ...] = ()
    declined: tuple[Declined, ...] = ()
    authorisations: tuple[Authorisation, ...] = ()
    time: tuple[TimeEntry, ...] = ()
    handoffs: tuple[HandOff, ...] = ()
    disturbed: tuple[str, ...] = ()
    planned_return: tuple[PlannedReturn, ...] = ()
    outside_events: tuple[OutsideEvent, ...] = ()
    explanations: tuple[Explanation, ...] = ()
    charges: Charges | None = None

    @property
    def odo_in_km(self) -> Decimal | None:
        """Odometer at arrival. [km]"""
        return _in_km(self.odo_in, self.odo_unit)

    @property
    def odo_out_km(self) -> Decimal | None:
        """Odometer at hand-over. [km]"""
        return _in_km(self.odo_out, self.odo_unit)


KM_PER_MILE = Decimal("1.609344")  # Exact: international mile, 1959.


def _in_km(value: Decimal | None, unit: str) -> Decimal | None:
    if value is None:
        return None
    return value * KM_PER_MILE if unit == "mi" else value
