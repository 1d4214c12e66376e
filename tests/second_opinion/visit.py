"""One generated order, filled section by section."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta, tzinfo
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from tests.second_opinion.chance import Chance
from tests.second_opinion.moments import Placed, has_no_order, read
from tests.second_opinion.vocabulary import (
    CLOCKS,
    COMPONENTS,
    GOOD_INSTRUMENTS,
    IN_READING_UNIT,
    OTHER_INSTRUMENTS,
    PEOPLE,
    POINTS,
    SCALES,
    SOUND,
    SYMPTOMS,
    Line,
)


@dataclass
class Past:
    """What later visits of the vehicle lean on: the days, distance and links of the visits before."""

    opened: date
    returned: date
    work_day: date
    odometer: Decimal
    links: list[str] = field(default_factory=list)


def plain(number: Decimal) -> Decimal | int:
    return int(number) if number == number.to_integral_value() else number


class Visit:
    """Fills one order line."""

    def __init__(
        self,
        chance: Chance,
        line: Line,
        location: Line,
        opened: date,
        family: tuple[str, ...],
        past: list[Past],
    ) -> None:
        self.chance, self.line, self.family, self.past = chance, line, family, past
        self.zone = ZoneInfo(location["time_zone"])
        self.location = location["id"]
        self.opened = opened
        self.returned = opened + timedelta(days=chance.one_of((0, 0, 1, 2, 2, 3, 5)))
        self.share_of_times = chance.one_of((0.0, 0.1, 0.5))
        self.technician = chance.one_of(PEOPLE)
        self.keeps_promises = False  # a vehicle that comes back when it was asked to
        self.is_sound = chance.care == SOUND
        self.work_day = min(self.returned, opened + timedelta(days=chance.one_of((0, 1, 1, 2))))

    # --- small things ---

    def is_by_the_book(self) -> bool:
        """One step of a sound visit, which now and then slips too."""
        return self.is_sound and not self.chance.happens(0.03)

    def on(self, day: date) -> str:
        return self.chance.stamp(day, self.zone, share_of_times=self.share_of_times)

    def day_near(self, start: date, *steps: int) -> date:
        return start + timedelta(days=self.chance.one_of(steps))

    def person(self) -> str:
        return str(self.chance.one_of(PEOPLE))

    def system(self) -> str:
        return str(self.chance.one_of(self.family))

    def component(self) -> str:
        return "" if self.chance.happens(0.02) else str(self.chance.one_of(COMPONENTS))

    def complaint_id(self) -> str:
        ids = [complaint["id"] for complaint in self.line["complaints"]]
        return str(self.chance.one_of(ids)) if ids and self.chance.happens(0.96) else "C9"

    # --- the whole order ---

    def fill(self) -> Line:
        line, chance = self.line, self.chance
        is_open = chance.happens(0.15)
        line["location"] = self.location
        chance.write(line, "technician", self.technician)
        line["opened"] = self.on(self.opened)
        if not is_open or chance.happens(0.3):
            line["returned"] = None if is_open else self.on(self.returned)
        self._visit_kind()
        line["complaints"] = [
            self._complaint(f"C{n}") for n in range(1, chance.one_of((0, 1, 1, 1, 1, 1, 2, 2, 3)) + 1)
        ]
        self._sections()
        outcomes = ("repaired",) * 6 + ("no_fault_found", "no_fault_found", "monitor", "declined_all", None)
        if not is_open or chance.happens(0.1):
            line["outcome"] = chance.one_of(outcomes)
        self._settle_times()
        odometer = line.pop("_odometer")
        links = [entry["id"] for entry in line.get("planned_return", ())]
        self.past.append(Past(self.opened, self.returned, self.work_day, odometer, links))
        return line

    def _sections(self) -> None:
        chance = self.chance
        self._tests()
        self._causes()
        self._suspects()
        self._work()
        self._section("trials", [t for c in self.line["complaints"] for t in self._trials(c)])
        self._section("checks", list(self._checks()))
        self._section(
            "assumptions", [self._assumption(f"A{n}") for n in range(1, chance.one_of((0, 0, 1, 2)) + 1)]
        )
        self._coincidences()
        self._section(
            "declined", [self._declined(f"D{n}") for n in range(1, chance.one_of((0, 0, 1, 2)) + 1)]
        )
        self._time()
        self._links()
        self._section("explanations", list(self._explanations()))

    def _section(self, key: str, entries: list[Any]) -> None:
        if entries or self.chance.happens(0.3):
            self.line[key] = entries

    def _visit_kind(self) -> None:
        line, chance = self.line, self.chance
        known = [link for past in (*self.past[-2:], *self.past[-1:]) for link in past.links]
        kind = chance.one_of(("symptom",) * 5 + ("planned",) * 4 + ("maintenance",))
        if self.keeps_promises and known:
            kind = chance.one_of(("symptom", "planned"))
        if kind != "symptom" or chance.happens(0.3):
            line["visit"] = kind
        if kind == "planned" or chance.happens(0.05):
            chance.write(
                line,
                "planned_ref",
                known[-1]
                if self.keeps_promises and known
                else chance.one_of([*known, *known, *known, "P99"]),
            )
        chance.switch(line, "since_repair", 0.15)

    # --- complaints ---

    def _complaint(self, key: str) -> Line:
        chance = self.chance
        kind = chance.one_of(("symptom",) * 7 + ("maintenance", "inspection"))
        complaint: Line = {"id": key, "kind": kind, "text": "It does it when it is cold"}
        if chance.happens(0.9):
            complaint["system"], complaint["symptom"] = self.system(), chance.one_of(SYMPTOMS)
        else:
            chance.write(complaint, "system", self.system())
            chance.write(complaint, "symptom", chance.one_of(SYMPTOMS))
        if chance.happens(0.5):
            chance.write(complaint, "component", chance.one_of(COMPONENTS))
        if chance.happens(0.8):
            complaint["pattern"] = chance.one_of(("constant", "intermittent", "intermittent", None))
        attempts = [self._attempt() for _ in range(chance.one_of((0, 1, 1, 1, 2)))]
        if self.is_by_the_book():
            sure = {"on": self.on(self.opened), "outcome": "reproduced", "equipment_connected": False}
            attempts = [{**self._attempt(), **sure, "conditions": "cold start"}]
        if attempts or chance.happens(0.5):
            complaint["attempts"] = attempts
        if chance.happens(0.4):
            complaint["plan"] = self._plan()
        required = [self._step() for _ in range(chance.one_of((0, 1, 1, 2, 3)))]
        if required:
            complaint["required"] = required
        return complaint

    def _attempt(self) -> Line:
        chance = self.chance
        outcome = chance.one_of(("reproduced", "reproduced", "reproduced", "partly", "not_reproduced"))
        attempt: Line = {"on": self.on(self.day_near(self.opened, 0, 0, 0, 1, 7)), "outcome": outcome}
        chance.write(attempt, "conditions", "cold start, damp morning", can_be_null=False)
        n = chance.one_of((1, 2, 3, 5, 10))
        if chance.happens(0.85):
            attempt["n"] = n
        if chance.happens(0.85):
            attempt["k"] = 0 if outcome == "not_reproduced" else chance.one_of((1, min(2, n), n))
        chance.switch(attempt, "equipment_connected", 0.25)
        return attempt

    def _plan(self) -> Line | None:
        if self.chance.happens(0.15):
            return None
        plan: Line = {"n": self.chance.one_of((0, 1, 2, 3, 5))}
        self.chance.write(plan, "conditions", "wet road, 20 min", can_be_null=False)
        return plan

    def _step(self) -> Line:
        chance = self.chance
        step: Line = {"code": chance.one_of((*SCALES, "look_over"))}
        if chance.happens(0.5):
            step["phase"] = chance.one_of(("before", "after"))
        chance.switch(step, "critical", 0.35)
        if chance.happens(0.45):
            step["waiver"] = self._waiver()
        elif chance.happens(0.2):
            step["waiver"] = None
        return step

    def _waiver(self) -> Line:
        waiver: Line = self._signed()
        if self.chance.happens(0.5):
            waiver["approved_by"] = self.chance.one_of((*PEOPLE, "", "  ", None))
        if self.chance.happens(0.4):
            waiver["assumption"] = self.chance.one_of(("A1", "A1", "A2", "A9", "", None))
        return waiver

    def _signed(self) -> Line:
        """A reason and a name, one of them blank where care fails."""
        reason = "part cannot be reached" if self.chance.happens(0.9) else self.chance.one_of(("", "  "))
        return {
            "reason": reason,
            "by": self.person() if self.chance.happens(0.9) else self.chance.one_of(("", "  ")),
        }

    # --- tests ---

    def _tests(self) -> None:
        """Tests before the work, their readings again after it, and some that belong to nothing."""
        chance, tests = self.chance, []
        sound = [pair for complaint in self.line["complaints"] for pair in self._proof(complaint)]
        for _ in range(0 if sound and chance.happens(0.8) else chance.one_of((0, 1, 2, 2, 3, 4))):
            before = self._test("before")
            tests.append(before)
            if chance.happens(0.12):
                tests.append({**before, "on": self.on(self.day_near(self.opened, 0, 0, 1))})
            for _ in range(chance.one_of((0, 1, 1, 1, 2)) if chance.is_done_well() else 0):
                tests.append(self._again(before))
        if not sound and chance.happens(0.25):
            tests.append(self._test(chance.one_of(("before", "after"))))
        if chance.happens(0.08):
            chance.rng.shuffle(tests)
        tests = [*sound, *tests]
        for number, test in enumerate(tests, start=1):
            test["id"] = f"T{number}"
        self._section("tests", tests)

    def _proof(self, complaint: Line) -> list[Line]:
        """A failing test that isolates a component, and its reading again after the work."""
        if not self.is_by_the_book():
            return []
        before = self._test("before")
        while before["kind"] == "code":
            before = self._test("before")
        before.update(
            complaint=complaint["id"], isolates=self.chance.one_of(COMPONENTS), on=self.on(self.opened)
        )
        after = self._again(before)
        if self.is_by_the_book():
            after["on"] = self.on(self.work_day)
        return [before, after]

    def _test(self, phase: str) -> Line:
        chance = self.chance
        kind = chance.one_of(("numeric",) * 6 + ("attribute", "attribute", "attribute", "code"))
        code = chance.one_of(tuple(SCALES)) if kind == "numeric" or chance.happens(0.3) else "look_over"
        test: Line = {"id": "", "code": code, "phase": phase, "kind": kind}
        if chance.happens(0.5):
            chance.write(test, "point", chance.one_of(POINTS))
        chance.write(test, "complaint", self.complaint_id())
        if kind == "numeric":
            self._scale(test)
            self._value(test, wanted="fail" if phase == "before" and chance.happens(0.75) else "any")
        else:
            self._seen(test, "fail" if phase == "before" else "pass")
        self._circumstances(test)
        return test

    def _scale(self, test: Line) -> None:
        chance = self.chance
        unit, limit_unit, lo, hi, _ = test["_scale"] = chance.one_of(SCALES[test["code"]])
        chance.write(test, "unit", unit)
        if limit_unit is not None:
            test["limit_unit"] = limit_unit
        elif chance.happens(0.2):
            test["limit_unit"] = chance.one_of((unit, "", " ", None))
        which = chance.one_of(
            ("both", "both", "both", "lo", "hi", "both" if chance.is_done_well() else "none")
        )
        for key, limit in (("lo", lo), ("hi", hi)):
            if which in (key, "both"):
                test[key] = plain(Decimal(limit))
            elif chance.happens(0.3):
                test[key] = None

    def _value(self, test: Line, *, wanted: str) -> None:
        """A value a few steps on either side of a limit, often exactly on it."""
        chance = self.chance
        unit, limit_unit, lo, hi, step = test["_scale"]
        low, high = (_in_reading_unit(Decimal(limit), unit, limit_unit) for limit in (lo, hi))
        if wanted == "fail" and chance.is_done_well():
            limit, steps, sign = (
                (high, (1, 1, 2, 3, 30), 1) if chance.happens(0.5) else (low, (1, 1, 2, 3, 30), -1)
            )
        elif wanted == "pass":
            limit, steps, sign = (
                (high, (0, 1, 1, 2, 3), -1) if chance.happens(0.5) else (low, (0, 1, 1, 2, 3), 1)
            )
        else:
            limit, steps, sign = chance.one_of((low, high)), (-3, -2, -1, 0, 1, 2, 3), 1
        if chance.happens(0.95):
            test["value"] = plain(limit + sign * chance.one_of(steps) * Decimal(step))
        elif chance.happens(0.5):
            test["value"] = None
        chance.switch(test, "info_only", 0.05)

    def _seen(self, test: Line, result: str) -> None:
        chance = self.chance
        test["result"] = result if chance.happens(0.8) else chance.one_of(("pass", "fail", None))
        chance.write(test, "observation", "wet trail below the joint")

    def _circumstances(self, test: Line) -> None:
        chance = self.chance
        start = self.opened if test["phase"] == "before" else self.work_day
        test["on"] = self.on(self.day_near(start, 0, 0, 0, 0, 0, 1, 1, 9))
        if chance.happens(0.3):
            test["entered_on"] = chance.one_of((None, self.on(self.day_near(start, 0, 0, 1, 2, 5))))
        if chance.happens(0.92):
            used = chance.one_of(GOOD_INSTRUMENTS if chance.is_done_well() else OTHER_INSTRUMENTS)
            chance.write(test, "instrument", used)
        chance.write(test, "by", self.person())
        if chance.happens(0.8):
            chance.write(test, "isolates", chance.one_of(COMPONENTS))
        chance.switch(test, "repeatable", 0.1, default=True)
        if chance.happens(0.06):
            test["status"] = "not_applicable"
        if chance.happens(0.15):
            test["disposition"] = self._signed()

    def _again(self, before: Line) -> Line:
        """The same reading after the work, with a small chance of another point or another kind."""
        chance = self.chance
        test: Line = {
            key: before[key]
            for key in ("code", "point", "complaint", "kind", "_scale", "instrument")
            if key in before
        }
        test = {"id": "", "phase": "after", **test}
        if chance.happens(0.06):
            test["point"] = chance.one_of((*POINTS, "", None))
        for key in ("unit", "lo", "hi", "limit_unit"):
            if key in before:
                test[key] = before[key]
        wanted = "pass" if chance.happens(0.85) else "fail"
        if test["kind"] == "numeric":
            self._value(test, wanted=wanted)
        else:
            self._seen(test, wanted)
        kept = test.get("instrument")
        self._circumstances(test)
        if kept is not None and chance.happens(0.7):
            test["instrument"] = kept
        return test

    def _cites(self, *, phase: str | None = None, share_unknown: float = 0.05) -> list[str]:
        ids = [t["id"] for t in self.line.get("tests", ()) if phase in (None, t["phase"])]
        cited = self.chance.some_of(ids)
        return [*cited, "T99"] if self.chance.happens(share_unknown) else cited

    # --- causes and work ---

    def _causes(self) -> None:
        """Most causes rest on a test before the work and name the component that it isolates."""
        chance, causes = self.chance, []
        before = [test for test in self.line.get("tests", ()) if test["phase"] == "before"]
        for number in range(1, chance.one_of((0, 1, 1, 1, 2)) + 1):
            cause: Line = {
                "id": f"K{number}",
                "complaint": self.complaint_id(),
                "component": self.component(),
            }
            if before and chance.is_done_well():
                test = chance.one_of(before)
                cause["evidence"] = [test["id"], *self._cites(share_unknown=0.02)]
                cause["component"] = test.get("isolates") or cause["component"]
                cause["complaint"] = test.get("complaint") if chance.happens(0.9) else cause["complaint"]
                cause["complaint"] = cause["complaint"] or self.complaint_id()
            elif chance.happens(0.7):
                cause["evidence"] = self._cites()
            causes.append(cause)
        if self.is_sound:
            causes = [self._proved_cause(f"K{n}", test) for n, test in enumerate(before, start=1)]
        self._section("causes", causes)

    def _proved_cause(self, key: str, test: Line) -> Line:
        complaint = test.get("complaint") or self.complaint_id()
        component = test.get("isolates") or self.component()
        return {"id": key, "complaint": complaint, "component": component, "evidence": [test["id"]]}

    def _work(self) -> None:
        causes = self.line.get("causes", ())
        count = len(causes) if self.is_sound else self.chance.one_of((0, 1, 1, 1, 2, 3))
        work = [self._work_item(f"W{n}") for n in range(1, count + 1)]
        for item, cause in zip(work, causes, strict=False):
            if self.is_by_the_book():
                sure = {
                    "cause": cause["id"],
                    "complaint": cause["complaint"],
                    "component": cause["component"],
                }
                item.update(reason="cause", on=self.on(self.work_day), **sure)
        self._section("work", work)
        disturbed = self.chance.some_of(list(COMPONENTS), 1)
        self._section("disturbed", disturbed)

    def _work_item(self, key: str) -> Line:
        chance, causes = self.chance, self.line.get("causes", [])
        reason = chance.one_of(
            ("cause",) * 6 + ("maintenance", "access", "consequential", "customer_request")
        )
        kind = chance.one_of(("replace", "replace", "replace", "repair", "clean", "adjust", "reset"))
        day = self.work_day if chance.happens(0.9) else self.day_near(self.work_day, -1, 1, 2)
        item: Line = {
            "id": key,
            "kind": kind,
            "component": self.component(),
            "reason": reason,
            "on": self.on(day),
        }
        cause = chance.one_of(causes) if causes and chance.is_done_well() else None
        if cause is not None:
            item["cause"], item["component"] = (
                cause["id"],
                cause["component"] if chance.happens(0.9) else item["component"],
            )
        elif chance.happens(0.4):
            item["cause"] = chance.one_of(("K9", "", None))
        if chance.happens(0.6):
            chance.write(
                item,
                "complaint",
                cause["complaint"] if cause and chance.happens(0.9) else self.complaint_id(),
            )
        if chance.happens(0.4):
            item["evidence"] = self._cites(phase="before" if chance.is_done_well() else None)
        chance.switch(item, "safety", 0.3)
        if chance.happens(0.8):
            chance.write(item, "by", self.person())
        for name, words in (
            ("note", "asked for by telephone"),
            ("failure_analysis", "worn through at the bend"),
        ):
            if chance.happens(0.4):
                chance.write(item, name, words)
        return item

    def _suspects(self) -> None:
        for complaint in self.line["complaints"]:
            suspects = []
            for _ in range(0 if self.is_by_the_book() else self.chance.one_of((0, 0, 1, 2))):
                state = self.chance.one_of(("open", "ruled_out", "ruled_out", "confirmed"))
                suspect: Line = {"component": self.component(), "state": state}
                if self.chance.happens(0.7):
                    suspect["evidence"] = self._cites()
                suspects.append(suspect)
            if suspects:
                complaint["suspects"] = suspects

    def _trials(self, complaint: Line) -> Iterator[Line]:
        chance = self.chance
        if self.is_by_the_book():
            n = chance.one_of((3, 5, 14, 29, 59))
            yield {"complaint": complaint["id"], "on": self.on(self.work_day), "n": n, "recurrences": 0}
            return
        for _ in range(chance.one_of((0, 1, 1, 2, 3))):
            key = complaint["id"] if chance.happens(0.97) else "C9"
            day = self.day_near(self.work_day, 0, 0, 0, 0, -1, 1, 8)
            trial: Line = {"complaint": key, "on": self.on(day), "n": chance.one_of((0, 1, 2, 3, 5, 14, 29))}
            trial["recurrences"] = chance.one_of((0,) * 8 + (1, 2))
            chance.switch(trial, "conditions_match", 0.15, default=True)
            chance.switch(trial, "equipment_connected", 0.2)
            yield trial

    def _checks(self) -> Iterator[Line]:
        for item in self.line.get("work", ()):
            if self.is_by_the_book() or self.chance.happens(0.35):
                day = self.day_near(self.work_day, 0, 0, 0, 0, 1, -1, 8)
                key = item["id"] if self.chance.happens(0.95) else "W9"
                yield {"work": key, "by": self.chance.one_of((*PEOPLE, *PEOPLE, "")), "on": self.on(day)}

    def _assumption(self, key: str) -> Line:
        chance = self.chance
        assumption: Line = {"id": key, "text": "the module was renewed last year"}
        status = chance.one_of(("absent", "open", "confirmed", "refuted", "accepted", "accepted"))
        if status != "absent":
            assumption["status"] = status
        if chance.happens(0.6):
            assumption["evidence"] = self._cites(share_unknown=0.1)
        if status == "accepted" and chance.happens(0.8):
            assumption["accepted"] = chance.one_of((None, self._signed(), self._signed(), self._signed()))
        return assumption

    # --- coincidences ---

    def _coincidences(self) -> None:
        """An event, symptoms around the thirty minutes after it, a claim and perhaps a reversal."""
        chance = self.chance
        if not chance.happens(0.35):
            return
        start = datetime.combine(self.opened, chance.one_of(CLOCKS[:5]))
        kind = chance.one_of(("intervention", "equipment", "intervention", "symptom"))
        events: list[Line] = [
            {"id": "E1", "at": self._instant(start), "kind": kind, "what": "meter joined to the bus"}
        ]
        for number in range(2, chance.one_of((2, 3, 4))):
            at = start + timedelta(seconds=chance.one_of((-60, 0, 600, 1800, 1800, 1801, 2400)))
            event: Line = {
                "id": f"E{number}",
                "at": self._instant(at),
                "kind": "symptom",
                "what": "lamp went out",
            }
            event["kind"] = event["kind"] if chance.happens(0.85) else "equipment"
            chance.write(event, "complaint", self.complaint_id())
            events.append(event)
        self.line["events"] = events
        self._section("claims", [self._claim(f"M{n}") for n in range(1, chance.one_of((1, 1, 2)) + 1)])
        self._section("reversals", [self._reversal() for _ in range(chance.one_of((0, 0, 1, 2)))])

    def _instant(self, at: datetime) -> str:
        if self.chance.happens(0.06):
            return at.date().isoformat()
        return self.chance.stamp(at.date(), self.zone, share_of_times=1, clock=at.time())

    def _claim(self, key: str) -> Line:
        event = self.chance.one_of(("E1", "E1", "E1", "E2", "E9"))
        return {
            "id": key,
            "complaint": self.complaint_id(),
            "event": event,
            "role": self.chance.one_of(("fix", "trigger")),
        }

    def _reversal(self) -> Line:
        chance = self.chance
        phases = [
            {
                "condition": "joined" if n % 2 else "apart",
                "present": bool(n % 2),
                "n": chance.one_of((1, 2, 3)),
            }
            for n in range(chance.one_of((2, 3, 3, 4)))
        ]
        if chance.happens(0.5):
            spoil = chance.one_of(phases)
            spoil.update(
                chance.one_of(({"condition": "apart"}, {"present": True}, {"n": 0}, {"condition": "third"}))
            )
        return {"event": chance.one_of(("E1", "E1", "E1", "E2", "E9")), "phases": phases}

    # --- declined work, time, links to other visits ---

    def _declined(self, key: str) -> Line:
        chance = self.chance
        item: Line = {
            "id": key,
            "component": self.component(),
            "risk": chance.one_of(("safety", "progressive", "comfort")),
        }
        chance.write(item, "system", self.system())
        chance.write(item, "symptom", chance.one_of(SYMPTOMS))
        for name, share in (("informed_on", 0.6), ("follow_up_on", 0.6)):
            if chance.happens(share):
                item[name] = self.on(self.day_near(self.returned, 0, 0, -1, 14))
            elif chance.happens(0.5):
                item[name] = None
        if chance.happens(0.3):
            item["test"] = chance.one_of(("T1", "T2", "T3", "T9", "", None))
        return item

    def _time(self) -> None:
        """Time entries in twos and threes, and for most changes of person a hand-off, whole or not."""
        chance = self.chance
        entries = []
        for _ in range(chance.one_of((0, 1, 2, 2, 3))):
            entry: Line = {"by": self.person(), "on": self.on(self.day_near(self.opened, 0, 0, 1, 2))}
            entry.update(
                minutes=chance.one_of((0, 15, 30, 60)),
                kind=chance.one_of(("diagnosis", "diagnosis", "repair")),
            )
            chance.write(entry, "complaint", self.complaint_id())
            entries.append(entry)
        self._section("time", entries)
        minutes = [chance.one_of((0, 30, 60, 90)) for _ in range(chance.one_of((0, 1, 1, 2)))]
        self._section("authorisations", [{"minutes": m, "on": self.on(self.opened)} for m in minutes])
        pairs = [(a, b) for a in entries for b in entries if a["by"] != b["by"] and chance.happens(0.6)]
        self._section("handoffs", [self._handoff(giver, taker) for giver, taker in pairs])

    def _handoff(self, giver: Line, taker: Line) -> Line:
        chance = self.chance
        handoff: Line = {
            "complaint": giver.get("complaint") or self.complaint_id(),
            "from": giver["by"],
            "to": taker["by"] if chance.happens(0.95) else self.person(),
            "on": self.on(self.day_near(self.opened, 0, 0, 1, 1, 2, 3)),
        }
        for key, words in (("known", "drops out when warm"), ("next", "measure at the plug")):
            if chance.is_done_well() or chance.happens(0.6):
                handoff[key] = words
            else:
                chance.write(handoff, key, words, can_be_null=False)
        for key in ("ruled_out", "suspected"):
            if chance.happens(0.93):
                handoff[key] = chance.some_of(list(COMPONENTS), 1)
        if chance.happens(0.9):
            handoff["acknowledged_by"] = (
                taker["by"] if chance.happens(0.9) else chance.one_of((giver["by"], "", None))
            )
        return handoff

    def _links(self) -> None:
        chance = self.chance
        keys = [
            f"P{n}" if chance.happens(0.2) else f"{self.line['id']}-P{n}"
            for n in range(1, chance.one_of((1, 1, 2, 3)))
        ]
        entries = []
        for key in keys:
            entry: Line = {
                "id": key,
                "recorded_on": self.on(
                    self.returned if self.keeps_promises else self.day_near(self.returned, 0, 0, -1, 1)
                ),
            }
            if chance.happens(0.5):
                entry["due_on"] = chance.one_of((None, self.on(self.returned + timedelta(days=14))))
            entries.append(entry)
        self._section("planned_return", entries)
        events = []
        if self.past and chance.happens(0.35):
            first, last = self.past[-1].returned, self.opened
            for _ in range(chance.one_of((1, 1, 2))):
                day = chance.one_of(
                    (first, last, first, last, first - timedelta(days=1), last + timedelta(days=1))
                )
                event: Line = {"kind": chance.one_of(("damage", "other_work")), "on": self.on(day)}
                event["system"] = self.system() if chance.happens(0.95) else ""
                chance.write(event, "evidence", "photo 12" if chance.happens(0.6) else None)
                events.append(event)
        self._section("outside_events", events)

    # --- explanations and the end ---

    def _explanations(self) -> Iterator[Line]:
        chance = self.chance
        share = chance.one_of((0.0, 0.1, 0.3, 0.6))
        for rule, subject in self._subjects() if share else ():
            if chance.happens(share):
                explanation = {"rule": rule, "subject": subject, **self._signed()}
                if chance.happens(0.6):
                    explanation["approved_by"] = chance.one_of((*PEOPLE, "", "  ", None))
                yield explanation

    def _subjects(self) -> Iterator[tuple[str, str]]:
        """Every rule with every record that it could name."""
        line = self.line
        named = {
            "complaints": ("R1", "R2", "R3", "R19", "R20", "R21", "R25"),
            "tests": ("R5", "R6", "R7", "R8", "R9", "R10", "R16", "R17", "R18"),
            "work": ("R11", "R12", "R16", "R22", "R26"),
            "assumptions": ("R14",),
            "claims": ("R15",),
            "declined": ("R23",),
        }
        for section, rules in named.items():
            for entry in line.get(section, ()):
                yield from ((rule, entry["id"]) for rule in rules)
        for complaint in line["complaints"]:
            yield from (("R4", f"{complaint['id']}:{step['code']}") for step in complaint.get("required", ()))
            yield from (("R13", suspect["component"]) for suspect in complaint.get("suspects", ()))
        yield "R24", line["id"]

    def _settle_times(self) -> None:
        """Drop the helper keys, and the times of day where they would send "later" round in a circle."""
        for test in self.line.get("tests", ()):
            test.pop("_scale", None)
        settle(
            self.line.get("tests", ()), "on", lambda t: (t["code"], (t.get("point") or "").strip()), self.zone
        )
        settle(self.line.get("trials", ()), "on", lambda t: t["complaint"], self.zone)
        settle(self.line.get("time", ()), "on", lambda t: t.get("complaint"), self.zone)


def _in_reading_unit(limit: Decimal, unit: str, limit_unit: str | None) -> Decimal:
    if (unit, limit_unit) == ("°C", "°F"):
        return (limit - 32) * 5 / 9
    if (unit, limit_unit) == ("°F", "°C"):
        return limit * 9 / 5 + 32
    return (limit * IN_READING_UNIT.get((unit, limit_unit or ""), 1)).normalize() + 0


def settle(entries: Iterable[Line], key: str, group_of: Callable[[Line], Any], zone: tzinfo) -> None:
    """Drop the times of day of every group in which "later" would run in a circle."""
    groups: dict[Any, list[Placed]] = {}
    for place, entry in enumerate(entries):
        placed = Placed(read(entry[key], zone), place, entry, entry.get("phase", ""))
        groups.setdefault(group_of(entry), []).append(placed)
    for group in groups.values():
        if len(group) > 2 and has_no_order(group):
            for item in group:
                item.entry[key] = item.at.day.isoformat()
