"""Tells one visit step by step and yields its exchange line.

A story reads as the day went: open the job, try the complaint, measure, name the cause, do the
work, prove it. Ids inside the order are counted here; the order's own number comes last, when
all orders of the shop stand in order of opening.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from diagnostics.demo import protocols
from diagnostics.demo.exact import Limits, number
from diagnostics.demo.garage import LOCATION_ID
from diagnostics.demo.people import Person
from diagnostics.demo.vehicles import Vehicle

Line = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Told:
    """One order line, the name it goes by in the demo, and while it is open, who it waits on and for what."""

    line: Line
    name: str = ""
    waiting_on: str = ""
    note: str = ""


class Job:
    """One visit of one vehicle while it is being told."""

    def __init__(
        self,
        vehicle: Vehicle,
        customer: Person,
        *,
        opened: str,
        odo_in: int | None,
        technician: str,
        visit: str = "symptom",
        since_repair: bool = False,
    ) -> None:
        self.technician = technician
        self._counted: dict[str, int] = {}
        self._complaints: dict[str, Line] = {}
        self._line: Line = {
            "record": "order",
            "id": "",
            "location": LOCATION_ID,
            "vehicle": vehicle.id,
            "customer": customer.line(),
            "technician": technician,
            "visit": visit,
            "since_repair": since_repair,
            "opened": opened,
            "returned": None,
            "odo_in": odo_in,
            "odo_out": None,
            "odo_unit": "mi",
            "outcome": None,
            "complaints": [],
        }

    @property
    def opened(self) -> str:
        """When the job was opened, as the line has it."""
        return str(self._line["opened"])

    def line(self) -> Line:
        """Return the exchange line told so far; its id is still empty."""
        return self._line

    def complaint(
        self,
        text: str,
        *,
        system: str | None = None,
        symptom: str | None = None,
        pattern: str | None = None,
        component: str | None = None,
        difficulty: int | None = None,
        kind: str = "symptom",
    ) -> str:
        """Take down what the customer said, with the steps its protocol asks for; return its id."""
        made: Line = {
            "id": self._next("c"),
            "kind": kind,
            "text": text,
            "system": system,
            "symptom": symptom,
            "component": component,
            "pattern": pattern,
            "attempts": [],
            "plan": None,
            "required": protocols.required_steps(symptom) if symptom else [],
            "suspects": [],
            "difficulty": difficulty,
        }
        self._complaints[made["id"]] = made
        self._line["complaints"].append(made)
        return str(made["id"])

    def attempt(
        self,
        on: str,
        outcome: str,
        conditions: str,
        *,
        n: int = 1,
        k: int = 0,
        connected: bool = False,
        complaint: str = "c1",
    ) -> None:
        """Try to see the complaint: shown `k` times in `n` tries."""
        self._complaints[complaint]["attempts"].append(
            {
                "on": on,
                "outcome": outcome,
                "conditions": conditions,
                "n": n,
                "k": k,
                "equipment_connected": connected,
            }
        )

    def plan(self, n: int, conditions: str, *, complaint: str = "c1") -> None:
        """Say how many clean trials, under which conditions, will count as proof."""
        self._complaints[complaint]["plan"] = {"n": n, "conditions": conditions}

    def required(self, complaint: str = "c1") -> list[Line]:
        """Return the required steps of a complaint, in the order to do them."""
        return list(self._complaints[complaint]["required"])

    def waive(
        self,
        code: str,
        reason: str,
        by: str,
        *,
        approved_by: str | None = None,
        phase: str = "before",
        complaint: str = "c1",
    ) -> None:
        """Leave a required step out with a signed reason."""
        for step in self._complaints[complaint]["required"]:
            if (step["code"], step["phase"]) == (code, phase):
                step["waiver"] = {"reason": reason, "by": by, "approved_by": approved_by}

    def suspect(
        self, component: str, state: str, evidence: Sequence[str] = (), *, complaint: str = "c1"
    ) -> None:
        """List a component that could be the cause, and where it stands."""
        self._complaints[complaint]["suspects"].append(
            {"component": component, "state": state, "evidence": list(evidence)}
        )

    def measure(
        self,
        code: str,
        value: str | None,
        *,
        on: str,
        by: str | None = None,
        using: str | None = None,
        point: str | None = None,
        phase: str = "before",
        isolates: str | None = None,
        limits: Limits | None = None,
        unit: str | None = None,
        repeatable: bool | None = None,
        observation: str | None = None,
        complaint: str = "c1",
    ) -> str:
        """Take a reading; return the test's id.

        Unit and limits are those of the test kind, unless the maker's or the shop's own for this
        very point are given.
        """
        kind = protocols.test_kind(code)
        judged = limits or Limits(kind.lo, kind.hi)
        return self._test(
            code,
            "numeric",
            point=point,
            complaint=complaint,
            phase=phase,
            value=number(value),
            unit=unit or kind.unit,
            lo=judged.lo,
            hi=judged.hi,
            observation=observation,
            instrument=using,
            by=by,
            on=on,
            isolates=isolates,
            repeatable=kind.repeatable if repeatable is None else repeatable,
        )

    def dispose(self, test: str, reason: str, by: str) -> None:
        """Say why a reading out of its limits is not followed up."""
        for made in self._line["tests"]:
            if made["id"] == test:
                made["disposition"] = {"reason": reason, "by": by}

    def observe(
        self,
        code: str,
        result: str,
        observation: str | None,
        *,
        on: str,
        by: str | None = None,
        using: str | None = None,
        point: str | None = None,
        phase: str = "before",
        isolates: str | None = None,
        complaint: str = "c1",
    ) -> str:
        """Pass or fail something that is looked at, heard or felt; return the test's id."""
        return self._test(
            code,
            "attribute",
            point=point,
            complaint=complaint,
            phase=phase,
            result=result,
            observation=observation,
            instrument=using,
            by=by,
            on=on,
            isolates=isolates,
            repeatable=protocols.test_kind(code).repeatable,
        )

    def read_codes(
        self, code: str, observation: str, *, on: str, by: str | None = None, using: str | None = None
    ) -> str:
        """Write down what the control units stored: a report, never evidence."""
        return self._test(
            code,
            "code",
            complaint="c1",
            phase="before",
            observation=observation,
            instrument=using,
            by=by,
            on=on,
        )

    def cause(
        self, component: str, statement: str, mode: str | None, evidence: Sequence[str], complaint: str = "c1"
    ) -> str:
        """Name one component and how it failed; return the cause's id."""
        made = {
            "id": self._next("k"),
            "complaint": complaint,
            "component": component,
            "statement": statement,
            "mode": mode,
            "evidence": list(evidence),
        }
        self._add("causes", made)
        return str(made["id"])

    def work(
        self,
        kind: str,
        component: str,
        *,
        reason: str,
        on: str,
        cause: str | None = None,
        evidence: Sequence[str] = (),
        by: str | None = None,
        part: Line | None = None,
        safety: bool = False,
        note: str | None = None,
        failure_analysis: str | None = None,
        complaint: str | None = "c1",
    ) -> str:
        """Do one thing to one component; return the work item's id."""
        made = {
            "id": self._next("w"),
            "complaint": complaint,
            "kind": kind,
            "component": component,
            "reason": reason,
            "cause": cause,
            "evidence": list(evidence),
            "safety": safety,
            "by": by or self.technician,
            "on": on,
            "note": note,
            "failure_analysis": failure_analysis,
            "part": part,
        }
        self._add("work", made)
        return str(made["id"])

    def trial(
        self,
        on: str,
        n: int,
        recurrences: int = 0,
        *,
        matching: bool = True,
        connected: bool = False,
        complaint: str = "c1",
    ) -> None:
        """Try the complaint's own conditions after the repair."""
        self._add(
            "trials",
            {
                "complaint": complaint,
                "on": on,
                "n": n,
                "recurrences": recurrences,
                "conditions_match": matching,
                "equipment_connected": connected,
            },
        )

    def check(self, work: str, by: str, on: str) -> None:
        """Let a second person look over one work item."""
        self._add("checks", {"work": work, "by": by, "on": on})

    def assume(
        self,
        text: str,
        bears_on: str | None,
        status: str = "open",
        evidence: Sequence[str] = (),
        accepted: tuple[str, str] | None = None,
    ) -> str:
        """Write down what is relied on and not tested; return its id."""
        made = {
            "id": self._next("a"),
            "text": text,
            "bears_on": bears_on,
            "status": status,
            "evidence": list(evidence),
            "accepted": {"reason": accepted[0], "by": accepted[1]} if accepted else None,
        }
        self._add("assumptions", made)
        return str(made["id"])

    def event(
        self, at: str, kind: str, what: str, *, change: str | None = None, complaint: str | None = "c1"
    ) -> str:
        """Note what happened and when; return the event's id."""
        made = {
            "id": self._next("e"),
            "at": at,
            "kind": kind,
            "what": what,
            "complaint": complaint,
            "change": change,
        }
        self._add("events", made)
        return str(made["id"])

    def claim(self, event: str, role: str, *, complaint: str = "c1") -> None:
        """Say that an event repaired ('fix' in the exchange form) or triggered the complaint."""
        made = {"id": self._next("m"), "complaint": complaint, "event": event, "role": role}
        self._add("claims", made)

    def reverse(self, event: str, phases: Sequence[tuple[str, bool, int]]) -> None:
        """Put the condition back and forth: condition, whether the symptom was there, tries."""
        told = [{"condition": condition, "present": present, "n": n} for condition, present, n in phases]
        self._add("reversals", {"event": event, "phases": told})

    def decline(
        self,
        component: str,
        risk: str,
        *,
        system: str,
        symptom: str | None = None,
        informed_on: str | None = None,
        follow_up_on: str | None = None,
        test: str | None = None,
    ) -> None:
        """Record work the customer was offered and did not want."""
        self._add(
            "declined",
            {
                "id": self._next("d"),
                "system": system,
                "component": component,
                "symptom": symptom,
                "risk": risk,
                "informed_on": informed_on,
                "follow_up_on": follow_up_on,
                "test": test,
            },
        )

    def authorise(self, minutes: int, on: str) -> None:
        """Record the minutes of looking that the customer agreed to."""
        self._add("authorisations", {"minutes": minutes, "on": on})

    def spend(
        self,
        minutes: int,
        kind: str,
        on: str,
        *,
        by: str | None = None,
        complaint: str | None = "c1",
    ) -> None:
        """Book minutes of diagnosis or repair."""
        self._add(
            "time",
            {
                "by": by or self.technician,
                "on": on,
                "minutes": minutes,
                "kind": kind,
                "complaint": complaint,
            },
        )

    def hand_off(
        self,
        giver: str,
        receiver: str,
        on: str,
        *,
        known: str,
        ruled_out: Sequence[str],
        suspected: Sequence[str],
        next_step: str,
        acknowledged: bool = True,
        complaint: str = "c1",
    ) -> None:
        """Pass a half-finished diagnosis to a colleague."""
        self._add(
            "handoffs",
            {
                "complaint": complaint,
                "from": giver,
                "to": receiver,
                "on": on,
                "known": known,
                "ruled_out": list(ruled_out),
                "suspected": list(suspected),
                "next": next_step,
                "acknowledged_by": receiver if acknowledged else None,
            },
        )

    def disturb(self, *components: str) -> None:
        """Name what had to be moved to get at the work."""
        self._line.setdefault("disturbed", []).extend(components)

    def answers_plan(self, planned_id: str) -> None:
        """Say that this visit is the return that was agreed."""
        self._line["visit"] = "planned"
        self._line["planned_ref"] = planned_id

    def charge(self, labour: str, parts: str, *, unbilled_minutes: int = 0) -> None:
        """Set what the visit cost, in pounds without tax."""
        self._line["charges"] = {
            "currency": "GBP",
            "labour": labour,
            "parts": parts,
            "total": str(Decimal(labour) + Decimal(parts)),
            "unbilled_minutes": unbilled_minutes,
        }

    def hand_back(self, on: str, odo_out: int | None, outcome: str) -> Line:
        """Return the key; the line is told to its end."""
        self._line.update(returned=on, odo_out=odo_out, outcome=outcome)
        return self._line

    def _test(self, code: str, kind: str, *, by: str | None, **more: Any) -> str:
        made = {"id": self._next("t"), "code": code, "kind": kind, "by": by or self.technician, **more}
        self._add("tests", {key: value for key, value in made.items() if value is not None})
        return str(made["id"])

    def _add(self, table: str, made: Line) -> None:
        self._line.setdefault(table, []).append(made)

    def _next(self, prefix: str) -> str:
        self._counted[prefix] = self._counted.get(prefix, 0) + 1
        return f"{prefix}{self._counted[prefix]}"


def part(
    description: str,
    *,
    batch: str | None = None,
    supplier: str | None = None,
    number: str | None = None,
    condition: str = "new",
    quantity: str = "1",
) -> Line:
    """Return a part as a work item carries it."""
    return {
        "description": description,
        "number": number,
        "quantity": quantity,
        "condition": condition,
        "supplier": supplier,
        "batch": batch,
    }
