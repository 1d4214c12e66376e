"""A history of a million orders in minutes: whole columns at a time, written past the rules of the pages.

Sixty shops of six technicians, five and a half years. Nearly half of the orders have a symptom complaint with
attempts, required steps, readings, a cause, work and trials, each left out now and then; a job that left much
out comes back a little more often, so that the audit has something to find.
"""

from contextlib import contextmanager
from datetime import UTC, datetime
from itertools import count, repeat
from typing import NamedTuple

import numpy as np
from django.core.management.color import no_style
from django.db import connection, transaction

from diagnostics.models import (
    Assumption,
    Attempt,
    Cause,
    Explanation,
    Instrument,
    RequiredStep,
    TestRun,
    TrialSeries,
)
from shop.models import (
    Complaint,
    Location,
    OdometerReading,
    PartFitted,
    RepairOrder,
    StaffMember,
    Vehicle,
    WorkItem,
)

FIRST_DAY, DAYS = np.datetime64("2021-06-01"), 2000
LOCATIONS, TECHNICIANS, INSTRUMENTS, BATCHES = 60, 6, 200, 900
SYSTEMS = ("charging", "cooling", "ignition", "fuel", "brakes_friction", "suspension", "hvac", "network")
RETURNS = 0.03  # of all orders: about 7 in 100 of those with a symptom come back
SYMPTOMS_A_SYSTEM, STEPS_A_SYMPTOM = 4, 3
OUTCOMES = np.array(["repaired", "no_fault_found", "monitor", "declined_all"])
NOW = datetime(2026, 11, 28, 12, tzinfo=UTC)


class Chosen(NamedTuple):
    """The orders that have something: their places among all orders."""

    at: np.ndarray
    rows: list

    def of(self, values):
        return values[self.at].tolist()


class History:
    """The columns of all orders, oldest first; an order's key is its place and one."""

    def __init__(self, orders, seed=11):
        self.random = random = np.random.default_rng(seed)
        more = int(orders * RETURNS)
        first = orders - more
        self.vehicles = max(2, int(orders * 0.18))
        vehicle = random.integers(0, self.vehicles, first)
        opened = random.integers(0, DAYS, first)
        is_symptom = random.random(first) < 0.44
        symptom = random.integers(0, len(SYSTEMS) * SYMPTOMS_A_SYSTEM, first)
        care = random.beta(8, 1.6, LOCATIONS * TECHNICIANS)
        self.home = random.integers(0, LOCATIONS, self.vehicles)
        technician = self.home[vehicle] * TECHNICIANS + random.integers(0, TECHNICIANS, first)
        steps = random.random((first, STEPS_A_SYMPTOM)) < (0.35 + 0.65 * care[technician])[:, None]
        took = random.integers(0, 5, first)
        chance = 0.045 + 0.05 * ~steps[:, 0] + 0.03 * ~steps[:, 1]
        weight = is_symptom * chance
        back = random.choice(first, more, replace=False, p=weight / weight.sum())
        later = opened[back] + took[back] + random.integers(1, 88, more)
        again = random.random((more, STEPS_A_SYMPTOM)) < 0.9
        parts = (
            (opened, later),
            (vehicle, vehicle[back]),
            (is_symptom, np.ones(more, bool)),
            (symptom, symptom[back]),
            (technician, technician[back]),
            (took, random.integers(0, 5, more)),
        )
        opened, vehicle, is_symptom, symptom, technician, took = map(np.concatenate, parts)
        steps = np.concatenate((steps, again))
        by_day = np.argsort(opened, kind="stable")
        self.opened, self.vehicle, self.is_symptom = opened[by_day], vehicle[by_day], is_symptom[by_day]
        self.symptom, self.technician, self.steps = symptom[by_day], technician[by_day], steps[by_day]
        self.returned = self.opened + took[by_day]
        self.count = n = len(opened)
        drawn = random.choice(4, n, p=(0.88, 0.06, 0.03, 0.03))
        self.outcome = np.where(self.is_symptom, drawn, 0)
        self.is_open = self.returned > DAYS + 80
        self.is_intermittent = random.random(n) < 0.35
        self.odometer = 20_000 + self.opened * 35 + (self.vehicle * 7919) % 90_000
        self.pk = np.arange(1, n + 1)
        self.is_repaired = self.is_symptom & (self.outcome == 0)

    def chosen(self, mask):
        at = np.flatnonzero(mask)
        return Chosen(at, self.pk[at].tolist())

    def happens(self, share):
        return self.random.random(self.count) < share


def fill(orders):
    """Write a history of so many orders into the empty site."""
    history = History(orders)
    with transaction.atomic(), _indexes_last():
        for write in (_lists, _visits, _complaints, _tests, _repairs):
            write(history)
    _end()


@contextmanager
def _indexes_last():
    """Build the indexes of SQLite when the tables are full, which takes a fraction of the time.

    PostgreSQL is told not to look each key up; that takes a superuser.
    """
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SET LOCAL session_replication_role = replica")
            yield
            return
        cursor.execute("PRAGMA ignore_check_constraints = ON")
        cursor.execute("SELECT name, sql FROM sqlite_master WHERE type = 'index' AND sql IS NOT NULL")
        indexes = cursor.fetchall()
        for name, _ in indexes:
            cursor.execute(f'DROP INDEX "{name}"')
        yield
        for _, statement in indexes:
            cursor.execute(statement)
        cursor.execute("PRAGMA ignore_check_constraints = OFF")


def _lists(history):
    random = history.random
    codes = [f"L{number:02}" for number in range(1, LOCATIONS + 1)]
    _write(Location, LOCATIONS, code=codes, name=[f"Yard {code}" for code in codes])
    people = range(LOCATIONS * TECHNICIANS)
    _write(
        StaffMember,
        len(people),
        username=[f"t{number}" for number in people],
        signs_as=list(map(_name, people)),
        location_id=[number // TECHNICIANS + 1 for number in people],
        is_technician=True,
        date_joined=NOW.isoformat(sep=" "),
    )
    _write(
        Instrument,
        INSTRUMENTS,
        code=[f"M{number}" for number in range(1, INSTRUMENTS + 1)],
        kind="Multimeter",
        cal_due="2027-06-01",
        accuracy="0.02",
    )
    n = history.vehicles
    gone = np.where(random.random(n) < 0.04, random.integers(0, DAYS, n), -1)
    _write(
        Vehicle,
        n,
        code=[f"V{number}" for number in range(1, n + 1)],
        plate=[f"QR {number}" for number in range(1, n + 1)],
        year=random.integers(2004, 2025, n).tolist(),
        make="Norvane",
        model=random.choice(["Tarn", "Fell", "Beck"], n).tolist(),
        left_on=[day if was >= 0 else None for day, was in zip(_days(gone), gone, strict=True)],
    )


def _visits(history):
    returned = _days(history.returned)
    for place in np.flatnonzero(history.is_open).tolist():
        returned[place] = None
    outcome = np.where(history.is_open, "", OUTCOMES[history.outcome])
    _write(
        RepairOrder,
        history.count,
        number=[str(100_000 + pk) for pk in history.pk.tolist()],
        location_id=(history.technician // TECHNICIANS + 1).tolist(),
        vehicle_id=(history.vehicle + 1).tolist(),
        technician=list(map(_name, history.technician.tolist())),
        opened_on=_days(history.opened),
        returned_on=returned,
        outcome=outcome.tolist(),
        visit=np.where(history.is_symptom, "symptom", "maintenance").tolist(),
    )
    for moment, km, mask in (("in", 0, history.happens(0.97)), ("out", 3, ~history.is_open)):
        some = history.chosen(mask)
        _write(
            OdometerReading,
            len(some.rows),
            order_id=some.rows,
            vehicle_id=some.of(history.vehicle + 1),
            moment=moment,
            unit="km",
            value=(history.odometer[some.at] + km).astype(str).tolist(),
            read_on=_days(history.opened[some.at]),
        )


def _complaints(history):
    system = np.array(SYSTEMS)[history.symptom // SYMPTOMS_A_SYSTEM]
    pattern = np.where(history.is_intermittent, "intermittent", "constant")
    has_plan = history.is_symptom & history.is_intermittent & history.happens(0.3)
    _write(
        Complaint,
        history.count,
        order_id=history.pk.tolist(),
        ref="C1",
        kind=np.where(history.is_symptom, "symptom", "maintenance").tolist(),
        text="It does it again.",
        system=system.tolist(),
        symptom=np.where(history.is_symptom, [f"sign_{code}" for code in history.symptom], "").tolist(),
        pattern=np.where(history.is_symptom, pattern, "").tolist(),
        difficulty=history.random.integers(1, 4, history.count).tolist(),
        plan_n=[5 if has else None for has in has_plan.tolist()],
        plan_conditions=np.where(has_plan, "Cold, first start.", "").tolist(),
    )
    tried = history.chosen(history.is_symptom & history.happens(0.94))
    some_shown = history.is_intermittent[tried.at]
    was_seen = history.random.random(len(tried.rows)) < 0.9
    _write(
        Attempt,
        len(tried.rows),
        complaint_id=tried.rows,  # A complaint's key is that of its order here.
        done_on=_days(history.opened[tried.at]),
        outcome=np.where(was_seen, "reproduced", "not_reproduced").tolist(),
        conditions="Cold, first start.",
        n=np.where(some_shown, 10, 3).tolist(),
        k=np.where(some_shown, 5, 3).tolist(),
        done_by="Ord Vell",
    )


def _tests(history):
    key = count(1)
    for step in range(STEPS_A_SYMPTOM):
        asked = history.is_symptom if step < 2 else history.is_symptom & (history.symptom % 2 == 0)
        phase = "after" if step == 1 else "before"
        some = history.chosen(asked)
        waived = ~history.steps[some.at, step] & (history.random.random(len(some.rows)) < 0.25)
        _write(
            RequiredStep,
            len(some.rows),
            complaint_id=some.rows,
            position=step,
            code=_codes(history, some, step),
            phase=phase,
            is_waived=waived.tolist(),
            waiver_reason=np.where(waived, "Read on the last visit.", "").tolist(),
            waiver_by=np.where(waived, "Ord Vell", "").tolist(),
        )
        done = history.chosen(asked & history.steps[:, step])
        _readings(history, done, f"S{step}", key, code=_codes(history, done, step), phase=phase)
    found = history.chosen(history.is_repaired & history.happens(0.92))
    isolates = _components(history, found)
    _readings(history, found, "T1", key, code="feed_drop", value="0.9", isolates=isolates, phase="before")
    again = history.chosen(history.is_repaired & history.happens(0.85))
    _readings(history, again, "T2", key, code="feed_drop", phase="after")
    explained = history.chosen(history.is_symptom & ~history.steps[:, 0] & history.happens(0.1))
    _write(
        Explanation,
        len(explained.rows),
        order_id=explained.rows,
        rule="R4",
        subject=[f"C1:{code}" for code in _codes(history, explained, 0)],
        reason="The customer could not leave it.",
        signed_by="Ord Vell",
        signed_at=NOW.isoformat(sep=" "),
    )


def _readings(history, some, ref, key, *, code, phase, value="0.1", isolates=""):
    instruments = history.random.integers(1, INSTRUMENTS + 1, len(some.rows)).tolist()
    day = _days((history.opened if phase == "before" else history.returned)[some.at])
    _write(
        TestRun,
        len(some.rows),
        id=[next(key) for _ in some.rows],
        order_id=some.rows,
        position=int(ref[-1]),
        ref=ref,
        complaint_ref="C1",
        code=code,
        point="A to B",
        phase=phase,
        kind="numeric",
        value=value,
        unit="V",
        hi="0.2",
        limit_unit="V",
        instrument_id=instruments,
        instrument_ref=[f"M{number}" for number in instruments],
        isolates=isolates,
        done_by="Ord Vell",
        done_on=day,
        entered_on=day,
        signed_at=NOW.isoformat(sep=" "),
    )


def _repairs(history):
    named = history.chosen(history.is_repaired & history.happens(0.95))
    _write(
        Cause,
        len(named.rows),
        order_id=named.rows,
        ref="K1",
        complaint_ref="C1",
        component=_components(history, named),
        statement="High resistance.",
        evidence='["T1"]',
    )
    for_cause = history.chosen(history.is_repaired)
    upkeep = history.chosen(~history.is_symptom | history.happens(0.1))
    n = len(for_cause.rows)
    _work(for_cause, history, first=1, ref="W1", component=_components(history, for_cause), reason="cause")
    _work(upkeep, history, first=n + 1, ref="W2", component="filter", reason="maintenance")
    batches = history.random.integers(0, BATCHES, n + len(upkeep.rows)).tolist()
    _write(
        PartFitted,
        len(batches),
        work_id=range(1, len(batches) + 1),
        description="Part",
        number=[f"P-{batch % 90}" for batch in batches],
        supplier=[f"Supplier {batch % 5}" for batch in batches],
        batch=[f"B{batch}" for batch in batches],
        quantity="1",
        condition="new",
    )
    proved = history.chosen(history.is_repaired & history.happens(0.85))
    _write(
        TrialSeries,
        len(proved.rows),
        order_id=proved.rows,
        complaint_ref="C1",
        done_on=_days(history.returned[proved.at]),
        n=np.where(history.random.random(len(proved.rows)) < 0.8, 6, 1).tolist(),
        done_by="Ord Vell",
    )
    assumed = history.chosen(history.is_repaired & history.happens(0.04))
    _write(
        Assumption,
        len(assumed.rows),
        order_id=assumed.rows,
        ref="A1",
        text="The earth is sound.",
        bears_on="C1",
        status="open",
    )


def _work(some, history, *, first, **columns):
    n = len(some.rows)
    _write(
        WorkItem,
        n,
        id=range(first, first + n),
        order_id=some.rows,
        complaint_ref="C1",
        cause_ref="K1" if columns["reason"] == "cause" else "",
        kind="replace",
        done_on=_days(history.returned[some.at]),
        done_by="Ord Vell",
        **columns,
    )


def _codes(history, some, step):
    return [f"step_{code}_{step}" for code in history.symptom[some.at].tolist()]


def _components(history, some):
    return [f"part_{code}" for code in history.symptom[some.at].tolist()]


def _name(technician):
    return f"Hand {technician // TECHNICIANS + 1}-{technician % TECHNICIANS + 1}"


def _days(offsets):
    return np.datetime_as_string(FIRST_DAY + np.asarray(offsets)).tolist()


def _write(model, rows, /, **given):
    """Write a table from columns; a single value stands for all rows, the model's default for the rest."""
    fields = [field for field in model._meta.concrete_fields if not field.primary_key or "id" in given]
    columns = []
    for field in fields:
        value = given.pop(field.column, given.pop(field.name, _usual(field)))
        columns.append(value if isinstance(value, (list, range)) else repeat(value, rows))
    assert not given, given
    names = ", ".join(f'"{field.column}"' for field in fields)
    lines = zip(*columns, strict=False) if rows else ()
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            with cursor.copy(f'COPY "{model._meta.db_table}" ({names}) FROM STDIN') as copy:
                for line in lines:
                    copy.write_row(line)
        else:
            places = ", ".join("?" * len(fields))
            cursor.connection.executemany(
                f'INSERT INTO "{model._meta.db_table}" ({names}) VALUES ({places})', lines
            )


def _usual(field):
    if field.has_default():
        default = field.get_default()
        return (
            default if isinstance(default, (bool, int, str)) else field.get_db_prep_save(default, connection)
        )
    return None if field.null else ""


def _end():
    """Let the database number on from what was written, and know how much there is."""
    models = (Location, StaffMember, Instrument, Vehicle, RepairOrder, Complaint, TestRun, WorkItem)
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), models):
            cursor.execute(statement)
        cursor.execute("ANALYZE")
