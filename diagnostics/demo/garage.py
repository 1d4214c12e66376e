"""Quarry Road Garage: the place, its instruments, and who signs in."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from diagnostics.demo.days import TIME_ZONE
from diagnostics.demo.exact import number
from diagnostics.demo.people import ADVISOR, CORIN, ISA, OWNER, TOBIN

LOCATION_ID = "QRG"


@dataclass(frozen=True, slots=True)
class Login:
    """One demo login: the name it signs with, its roles, and in plain words what to try with it."""

    username: str
    signs_as: str
    roles: tuple[str, ...]
    words: str


STAFF = (
    Login("maud", ADVISOR, ("advisor",), "At the desk: opens jobs, asks for consent, hands over papers."),
    Login("tobin", TOBIN, ("technician",), "Bay 2, electrical work: one job is half measured and waits."),
    Login("isa", ISA, ("technician",), "Bay 1, engines and networks; checks the others' safety work."),
    Login("corin", CORIN, ("technician",), "Both bays: brakes, steering, tyres, services and cooling."),
    Login("gwen", OWNER, ("owner", "advisor"), "Owns the shop: the audit, the returns, the protocols."),
)


@dataclass(frozen=True, slots=True)
class Tool:
    """One instrument; days are counted from today, negative ones lie in the past."""

    id: str
    kind: str
    due_in_days: int | None = None
    withdrawn_days_ago: int | None = None
    accuracy: str | None = None
    accuracy_text: str | None = None


METER = "multimeter"
TOOLS = (
    Tool("meter 1", METER, 201, accuracy_text="0.5 % + 2 counts"),
    Tool("meter 2", METER, 132, accuracy_text="0.3 % + 1 count"),
    Tool("meter 3", METER, 12, accuracy_text="0.8 % + 3 counts"),
    Tool("meter 4", METER, 310, withdrawn_days_ago=190, accuracy_text="1 % + 5 counts"),
    Tool("clamp 1", "current clamp", 110, accuracy="0.01", accuracy_text="1 % + 0.01 A"),
    Tool("clamp 2", "current clamp", -35, accuracy_text="2 % + 0.1 A"),
    Tool("battery tester 1", "battery load tester", 75, accuracy_text="1 %"),
    Tool("gauge set 1", "refrigerant gauge set", 88, accuracy_text="1.6 % of full scale"),
    Tool("scale 1", "refrigerant scale", 240, accuracy_text="5 g"),
    Tool("leak detector 1", "electronic leak detector", 61, accuracy_text="3 g a year, as the maker states"),
    Tool("fuel gauge 1", "fuel pressure gauge", 150, accuracy_text="1 % of full scale"),
    Tool("compression gauge 1", "compression gauge", -48, accuracy_text="2 % of full scale"),
    Tool("vacuum gauge 1", "vacuum gauge", 96, accuracy_text="1.6 % of full scale"),
    Tool("pressure tester 1", "cooling system pressure tester", 44, accuracy_text="2.5 kPa"),
    Tool("micrometer 1", "micrometer", 260, accuracy="0.001", accuracy_text="0.001 mm"),
    Tool("dial gauge 1", "dial gauge", 170, accuracy="0.005", accuracy_text="0.005 mm"),
    Tool("tread gauge 1", "tread depth gauge", 300, accuracy_text="0.1 mm"),
    Tool("tyre gauge 1", "tyre pressure gauge", 20, accuracy_text="5 kPa"),
    Tool("thermometer 1", "probe thermometer", 145, accuracy="0.5", accuracy_text="0.5 K"),
    Tool("recorder 1", "signal recorder", 220, accuracy_text="2 % of range"),
    Tool("gas analyser 1", "exhaust gas analyser", 33, accuracy_text="class 1"),
    Tool("alignment rig 1", "wheel alignment rig", 120, accuracy_text="2 minutes of arc"),
    Tool("oil gauge 1", "oil pressure gauge", 64, accuracy_text="1.6 % of full scale"),
    Tool("caliper 1", "calliper", 280, accuracy_text="0.03 mm"),
    Tool("angle gauge 1", "angle gauge", 330, accuracy_text="0.5 degree"),
    Tool("roller bench 1", "roller brake bench", 57, accuracy_text="3 %"),
    Tool("boiling tester 1", "brake fluid boiling tester", 130, accuracy_text="5 K"),
    Tool("rule 1", "steel rule"),
    Tool("code reader 1", "code reader"),
)


def location_line() -> dict[str, Any]:
    """Return the shop's own exchange line; its comeback window is the policy's."""
    return {
        "record": "location",
        "id": LOCATION_ID,
        "name": "Quarry Road Garage",
        "time_zone": TIME_ZONE,
        "single_person": False,
        "window_days": 90,
        "window_km": 6000,
    }


def instrument_lines(today: date) -> list[dict[str, Any]]:
    """Return the instruments as they stand on `today`: most in calibration, a few not."""
    return [_tool_line(tool, today) for tool in TOOLS]


def _tool_line(tool: Tool, today: date) -> dict[str, Any]:
    due = None if tool.due_in_days is None else today + timedelta(days=tool.due_in_days)
    ago = tool.withdrawn_days_ago
    withdrawn = None if ago is None else today - timedelta(days=ago)
    return {
        "record": "instrument",
        "id": tool.id,
        "kind": tool.kind,
        "cal_required": due is not None,
        "cal_due": due.isoformat() if due else None,
        "withdrawn_on": withdrawn.isoformat() if withdrawn else None,
        "accuracy": number(tool.accuracy),
        "accuracy_text": tool.accuracy_text,
    }
