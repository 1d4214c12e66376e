"""What a findings sheet holds. Only text, truth values and lists of them, so that it can be kept as JSON."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Letterhead:
    """Whose paper it is."""

    name: str
    address: tuple[str, ...] = ()
    phone: str = ""
    email: str = ""


@dataclass(frozen=True, slots=True)
class Answer:
    """The three lines of the box."""

    wrong: str
    did: str
    sure: str


@dataclass(frozen=True, slots=True)
class Returned:
    """The earlier job that this one came back from, and how far apart they lie: "16 days", "312 miles"."""

    job: str
    days: str
    distance: str = ""


@dataclass(frozen=True, slots=True)
class Asked:
    """One complaint: the customer's words without quotation marks, and what we made of them."""

    said: str
    restated: str


@dataclass(frozen=True, slots=True)
class Taken:
    """One reading as taken: "1.21 A", its verdict word, and a remark such as why it has none."""

    text: str
    verdict: str
    remark: str = ""


@dataclass(frozen=True, slots=True)
class Row:
    """One reading of the vehicle, before and after the repair."""

    name: str
    where: str
    before: Taken | None
    after: Taken | None
    should_be: str
    whose: str


@dataclass(frozen=True, slots=True)
class Strip:
    """A row that is drawn: its values and limits as digits, all in `unit`; empty where there is none."""

    row: Row
    unit: str
    value: str
    before: str
    lo: str
    hi: str


@dataclass(frozen=True, slots=True)
class SignalLane:
    """One channel of a recorded signal in columns: least and greatest of each, None in a gap."""

    label: str
    unit: str
    low: tuple[float | None, ...]
    high: tuple[float | None, ...]


@dataclass(frozen=True, slots=True)
class Signal:
    """A recorded signal that is drawn: what it shows, when it was recorded, and its picture. [s]"""

    title: str
    recorded: str
    since: float
    until: float
    lanes: tuple[SignalLane, ...]


@dataclass(frozen=True, slots=True)
class Found:
    """What was wrong, what shows it, and how strong that is."""

    about: str
    text: str
    shows: tuple[str, ...]
    strength: str


@dataclass(frozen=True, slots=True)
class Done:
    """One thing done, and the part that was fitted."""

    text: str
    part: str = ""


@dataclass(frozen=True, slots=True)
class Proof:
    """How we know it worked, or that we do not; the outcome and what carries it.

    `again` holds the readings that had failed, as they were taken again.
    """

    about: str
    again: tuple[str, ...]
    sentences: tuple[str, ...]
    outcome: str
    carried_by: str


@dataclass(frozen=True, slots=True)
class Refused:
    """Work the customer chose not to have done."""

    component: str
    risk: str
    sentences: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Amount:
    """One line of what it cost."""

    label: str
    amount: str
    is_total: bool = False


@dataclass(frozen=True, slots=True)
class Covered:
    """The promise in short: last day, last odometer reading, and what it covers."""

    last_day: str
    last_reading: str
    items: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Back:
    """What to do if it comes back."""

    steps: tuple[str, ...]
    phone: str
    covered: Covered | None


@dataclass(frozen=True, slots=True)
class Step:
    """One link of the chain as the customer sees it: joined, explained, open or ahead."""

    name: str
    state: str
    word: str


@dataclass(frozen=True, slots=True)
class FindingsSheet:
    """The whole sheet, in the order in which it is read."""

    shop: Letterhead
    job: str
    customer: str
    vehicle: str
    vin: str
    arrived: str
    left: str
    tested_by: tuple[str, ...]
    is_open: bool
    answer: Answer
    warnings: tuple[str, ...]
    asked: tuple[Asked, ...]
    came_back: str
    seen: tuple[str, ...]
    strips: tuple[Strip, ...]
    strip_note: str
    signals: tuple[Signal, ...]
    found: tuple[Found, ...]
    done: tuple[Done, ...]
    proof: tuple[Proof, ...]
    unverified: tuple[str, ...]
    watch: tuple[str, ...]
    cautions: tuple[str, ...]
    declined: tuple[Refused, ...]
    agreed: tuple[str, ...]
    cost: tuple[Amount, ...]
    rows: tuple[Row, ...]
    notes: tuple[str, ...]
    back: Back
    foot: tuple[str, ...]
    steps: tuple[Step, ...]


def as_data(sheet: Any) -> dict[str, Any]:
    """Return a sheet as plain values, ready to be kept as JSON and to be drawn."""
    return asdict(sheet)


def prose(sheet: FindingsSheet) -> tuple[str, ...]:
    """Return the sentences that people wrote or we composed, for the grade; not the customer's words."""
    return (
        sheet.answer.wrong,
        sheet.answer.did,
        *sheet.seen,
        *(found.text for found in sheet.found),
        *(done.text for done in sheet.done),
        *(one for proof in sheet.proof for one in proof.sentences),
        *sheet.unverified,
        *sheet.watch,
        *(one for refused in sheet.declined for one in refused.sentences),
    )
