"""Misfire in the wet: a coil fitted on a guess, back in 9 days; the secondary lead arcs to the bracket."""

from __future__ import annotations

from datetime import date, timedelta

from diagnostics.demo.days import at, place
from diagnostics.demo.exact import limits
from diagnostics.demo.job import Job, Told, part
from diagnostics.demo.people import CORIN, ISA, Person, mobile
from diagnostics.demo.vehicles import Vehicle, vin_of

MIRLA = Person("C0003", "Mirla Scane", mobile(107), "mirla.scane@example.org")
FENN = Vehicle("V0003", vin_of("TF1", 2009, 318_222), "HD 5540", 2009, "Tolmer", "Fenn", "1.4 petrol, 4 cyl")
VEHICLES = (FENN,)

DAYS_BETWEEN = 9
DAYS_AGO = 30
LEAD = "secondary lead, cylinder 2"
COIL = "ignition coil, cylinder 2"
ALONG_LEAD = "lead 2, over its whole length"
MAKER_COUNT = limits(hi="5")


def tell(last: date) -> list[Told]:
    """Return both orders; the second was handed back about a month before `last`."""
    came_back = place((-DAYS_BETWEEN, 0, 1, 2), last - timedelta(days=DAYS_AGO))
    return [_coil_fitted(came_back - timedelta(days=DAYS_BETWEEN)), _lead_found(came_back)]


def _coil_fitted(day: date) -> Told:
    job = Job(FENN, MIRLA, opened=at(day, "07:45"), odo_in=104_720, technician=CORIN)
    job.complaint(
        "It coughs and shakes when it has rained overnight. On a dry day it runs like a clock.",
        system="ignition",
        symptom="misfire_wet",
        pattern="intermittent",
        difficulty=3,
    )
    job.authorise(30, at(day, "07:50"))
    job.attempt(
        at(day, "09:30"),
        "not_reproduced",
        "Dry yard, engine warm, code reader connected.",
        n=1,
        k=0,
        connected=True,
    )
    job.read_codes(
        "stored_codes", "P0302 stored, misfire cylinder 2.", on=at(day, "09:20"), using="code reader 1"
    )
    job.suspect(COIL, "confirmed")
    job.suspect("spark plug, cylinder 2", "open")
    guess = job.cause(COIL, "Coil 2 breaks down in the wet.", "breaks down", [])
    job.work(
        "replace",
        COIL,
        reason="cause",
        cause=guess,
        on=at(day, "11:15"),
        part=part("Ignition coil", batch="IC-77", supplier="Hollin Motor Factors"),
        note="The code says cylinder 2, coils are known for it.",
    )
    job.measure(
        "misfire_count",
        "0",
        on=at(day, "11:30"),
        using="code reader 1",
        point="cylinder 2",
        phase="after",
        limits=MAKER_COUNT,
    )
    job.trial(at(day, "11:45"), 1, matching=False, connected=True)
    job.spend(25, "diagnosis", at(day, "09:30"))
    job.spend(30, "repair", at(day, "11:15"))
    job.charge("56.83", "44.00")
    return Told(job.hand_back(at(day, "15:40"), 104_726, "repaired"), name="wet_misfire.first")


def _lead_found(day: date) -> Told:
    last_day = day + timedelta(days=2)
    job = Job(FENN, MIRLA, opened=at(day, "08:10"), odo_in=104_958, technician=ISA, since_repair=True)
    job.complaint(
        "It coughs and shakes in the wet, just as before the new coil.",
        system="ignition",
        symptom="misfire_wet",
        pattern="intermittent",
        difficulty=3,
    )
    job.authorise(90, at(day, "08:20"))
    job.attempt(
        at(day, "09:10"),
        "not_reproduced",
        "Dry morning, cold start, 15 minutes in town. Nothing connected.",
        n=2,
        k=0,
    )
    job.attempt(
        at(day, "10:05"),
        "reproduced",
        "Bay dark, engine at idle, fine water mist over the secondary side. Stumbles in 4 of 5 bursts. "
        "Nothing connected.",
        n=5,
        k=4,
    )
    job.plan(6, "Cold start after a wet night outside, then water mist over the secondary side at idle.")
    evidence = _measure(job, day)
    arcs = job.cause(
        LEAD, "Lead 2 arcs to the coil bracket where its sheath is chafed.", "insulation broken", evidence
    )
    _replace_lead(job, arcs, day)
    _prove(job, day, last_day)
    job.spend(85, "diagnosis", at(day, "11:20"))
    job.spend(40, "repair", at(day, "14:05"))
    job.charge("0.00", "27.50", unbilled_minutes=125)
    return Told(job.hand_back(at(last_day, "10:30"), 104_981, "repaired"), name="wet_misfire.return")


def _measure(job: Job, day: date) -> list[str]:
    """Part the lead from its rivals; return the readings that prove it."""
    job.read_codes(
        "stored_codes", "P0302 stored again, nothing else.", on=at(day, "08:55"), using="code reader 1"
    )
    count = job.measure(
        "misfire_count",
        "41",
        on=at(day, "10:20"),
        using="code reader 1",
        point="cylinder 2, mist, 200 turns",
        limits=MAKER_COUNT,
    )
    coil = job.observe(
        "water_mist",
        "pass",
        "Mist on coil and boot only: runs on evenly.",
        on=at(day, "10:28"),
        point="coil 2",
    )
    lead = job.observe(
        "water_mist",
        "fail",
        "Blue spark from lead 2 to the coil bracket, seen and heard, engine stumbles. Photo 2.",
        on=at(day, "10:34"),
        point=ALONG_LEAD,
        isolates=LEAD,
    )
    job.measure(
        "lead_resistance",
        "7.8",
        on=at(day, "10:50"),
        using="meter 2",
        point="lead 2",
        limits=limits("4", "9"),
    )
    secondary = job.measure(
        "coil_secondary", "11.2", on=at(day, "10:56"), using="meter 2", point="coil 2, tower to tower"
    )
    plug = job.observe(
        "plug_condition",
        "pass",
        "Light brown like its neighbours, no track.",
        on=at(day, "11:10"),
        point="plug 2",
    )
    job.suspect(LEAD, "confirmed", [lead])
    job.suspect(COIL, "ruled_out", [coil, secondary])
    job.suspect("spark plug, cylinder 2", "ruled_out", [plug])
    return [count, lead]


def _replace_lead(job: Job, cause: str, day: date) -> None:
    job.work(
        "replace",
        LEAD,
        reason="cause",
        cause=cause,
        on=at(day, "14:05"),
        part=part("Ignition lead, cylinder 2", batch="SL-310", supplier="Hollin Motor Factors"),
    )
    job.work(
        "adjust",
        "lead holder at coil bracket",
        reason="consequential",
        cause=cause,
        on=at(day, "14:05"),
        note="Holder turned, so that the lead keeps clear of the bracket.",
    )
    job.disturb("air-filter housing")


def _prove(job: Job, day: date, last_day: date) -> None:
    job.observe(
        "water_mist",
        "pass",
        "Two minutes of mist along the lead, no spark, runs on evenly.",
        on=at(day, "14:25"),
        point=ALONG_LEAD,
        phase="after",
    )
    job.measure(
        "misfire_count",
        "0",
        on=at(day, "14:32"),
        using="code reader 1",
        point="cylinder 2, mist, 200 turns",
        phase="after",
        limits=MAKER_COUNT,
    )
    job.trial(at(day, "15:30"), 3)
    job.trial(at(last_day, "08:20"), 3)
