"""Brake pulsation: discs measured and within limits, the cause elsewhere; the customer declined the work."""

from __future__ import annotations

from datetime import date, timedelta

from diagnostics.demo.days import at, next_open, place
from diagnostics.demo.job import Job, Told
from diagnostics.demo.people import CORIN, ISA, Person, mobile
from diagnostics.demo.vehicles import Vehicle, vin_of

PELLAM = Person("C0006", "Jory Pellam", mobile(110), "j.pellam@example.org")
ORREL = Vehicle(
    "V0006", vin_of("HR3", 2013, 611_180), "KB 1180", 2013, "Haldmark", "Orrel", "1.6 petrol, 4 cyl"
)
VEHICLES = (ORREL,)

DAYS_AGO = 9
FOLLOW_UP_DAYS = 28
BUSH = "lower arm bush, left"
NOT_DONE = "No work was done, the customer declined it. Nothing to read again."


def tell(last: date) -> list[Told]:
    """Return the one order, handed back unrepaired some days before `last`."""
    day = place((0, 1), last - timedelta(days=DAYS_AGO))
    next_day = day + timedelta(days=1)
    job = Job(ORREL, PELLAM, opened=at(day, "08:05"), odo_in=79_944, technician=CORIN)
    job.complaint(
        "The brakes judder coming down Cutter's Hill. I was told it would be the discs.",
        system="brakes_friction",
        symptom="brake_pulsation",
        pattern="intermittent",
        difficulty=2,
    )
    job.authorise(100, at(day, "08:10"))
    job.attempt(
        at(day, "09:20"),
        "reproduced",
        "Road test down Cutter's Hill from 50 mph, six stops with light pedal, shake in 5 of 6. "
        "Nothing while only rolling.",
        n=6,
        k=5,
    )
    evidence = _measure(job, day)
    job.cause(
        BUSH, "The rear bush of the left lower arm is split and lets the wheel move back.", "split", evidence
    )
    for code in ("disc_runout", "brake_road_test"):
        job.waive(code, NOT_DONE, CORIN, approved_by=ISA, phase="after")
    job.decline(
        BUSH,
        "safety",
        system="suspension",
        informed_on=next_day.isoformat(),
        follow_up_on=next_open(next_day + timedelta(days=FOLLOW_UP_DAYS)).isoformat(),
        test=evidence[-1],
    )
    job.decline(
        BUSH,
        "safety",
        system="brakes_friction",
        symptom="brake_pulsation",
        informed_on=next_day.isoformat(),
        follow_up_on=next_open(next_day + timedelta(days=FOLLOW_UP_DAYS)).isoformat(),
        test=evidence[-1],
    )
    job.spend(95, "diagnosis", at(day, "12:10"))
    job.charge("98.17", "0.00")
    return [Told(job.hand_back(at(next_day, "10:20"), 79_957, "declined_all"), name="brake_judder.only")]


def _measure(job: Job, day: date) -> list[str]:
    """Clear the discs and find the bush; return the readings that prove it."""
    road = job.observe(
        "brake_road_test",
        "fail",
        "Wheel and seat shake from 50 mph with light pedal, pedal itself quiet. Fades below 30 mph.",
        on=at(day, "09:20"),
        point="road, Cutter's Hill, 50 mph",
    )
    tyres = job.observe(
        "tyre_wheel_check",
        "pass",
        "Even wear, no bulge, balance weights in place, rims true.",
        on=at(day, "10:00"),
    )
    bearings = job.observe(
        "wheel_bearing_play",
        "pass",
        "No play, turn quietly, left and right.",
        on=at(day, "10:15"),
        point="front wheels",
    )
    runout = [
        job.measure(
            "disc_runout", value, on=at(day, clock), using="dial gauge 1", point=f"front {side}, outer face"
        )
        for value, clock, side in (("0.03", "10:35", "left"), ("0.04", "10:50", "right"))
    ]
    thickness = [
        job.measure(
            "disc_thickness_variation",
            value,
            on=at(day, clock),
            using="micrometer 1",
            point=f"front {side}, 12 points",
        )
        for value, clock, side in (("0.004", "11:05", "left"), ("0.006", "11:20", "right"))
    ]
    bush = job.observe(
        "bush_check",
        "fail",
        "Left rear bush split half round, arm moves back under the bar. Right side whole. Photo 2.",
        on=at(day, "11:50"),
        point="front lower arms",
        isolates=BUSH,
    )
    job.suspect(BUSH, "confirmed", [bush])
    job.suspect("front brake discs", "ruled_out", [*runout, *thickness])
    job.suspect("front tyres and wheels", "ruled_out", [tyres])
    job.suspect("front wheel bearings", "ruled_out", [bearings])
    return [road, bush]
