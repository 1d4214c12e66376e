"""Charging lamp at idle with loads on: an alternator fitted, back in 23 days; the cable drops the voltage."""

from __future__ import annotations

from datetime import date, timedelta

from diagnostics.demo.days import at, place
from diagnostics.demo.exact import limits
from diagnostics.demo.job import Job, Told, part
from diagnostics.demo.people import CORIN, TOBIN, Person, mobile
from diagnostics.demo.vehicles import Vehicle, vin_of

OVIDE = Person("C0002", "Ovide Tarnow", mobile(106), None)
VANE = Vehicle(
    "V0002", vin_of("BV2", 2014, 204_411), "RA 3315", 2014, "Brisolet", "Vane", "1.4 petrol, 4 cyl"
)
VEHICLES = (VANE,)

DAYS_BETWEEN = 23
DAYS_AGO = 20
CABLE = "charge cable"
STUD_TO_POST = "alternator output stud to battery positive post"
POSTS = "battery terminals"
MAKER_LOADED = limits("13.2", "14.9")
MAKER_OUTPUT = limits("75")


def tell(last: date) -> list[Told]:
    """Return both orders; the second was handed back some weeks before `last`."""
    came_back = place((-DAYS_BETWEEN - 1, -DAYS_BETWEEN, 0, 1), last - timedelta(days=DAYS_AGO))
    return [_alternator_fitted(came_back), _cable_found(came_back)]


def _alternator_fitted(came_back: date) -> Told:
    first, second = (came_back - timedelta(days=DAYS_BETWEEN + n) for n in (1, 0))
    job = Job(VANE, OVIDE, opened=at(first, "07:50"), odo_in=88_310, technician=CORIN)
    job.complaint(
        "The charging light comes on when I wait at the lights, mostly with the heater going.",
        system="charging",
        symptom="charge_lamp_idle_load",
        pattern="intermittent",
        difficulty=2,
    )
    job.authorise(45, at(first, "07:55"))
    job.attempt(at(first, "10:10"), "reproduced", "", k=1)
    job.observe(
        "drive_belt_check", "pass", "Belt dry, ribs whole, tensioner in its mark.", on=at(first, "10:20")
    )
    job.measure("charging_voltage", "13.6", on=at(first, "10:25"), using="meter 1", point=POSTS)
    loaded = job.measure(
        "charging_voltage_loaded",
        "12.6",
        on=at(first, "10:30"),
        using="meter 1",
        point=POSTS,
        limits=MAKER_LOADED,
    )
    job.suspect("alternator", "confirmed", [loaded])
    job.suspect(CABLE, "open")
    tired = job.cause("alternator", "The alternator is tired.", "low output", [loaded])
    job.work(
        "replace",
        "alternator",
        reason="cause",
        cause=tired,
        evidence=[loaded],
        on=at(second, "11:40"),
        part=part("Alternator 90 A", condition="rebuilt", batch="AL-118", supplier="Northgate Electrics"),
    )
    job.measure(
        "charging_voltage_loaded",
        "13.3",
        on=at(second, "11:55"),
        using="meter 1",
        point=POSTS,
        phase="after",
        limits=MAKER_LOADED,
    )
    job.trial(at(second, "12:10"), 1, matching=False)
    job.assume("The wiring is sound, it looks as new.", CABLE)
    job.spend(35, "diagnosis", at(first, "10:30"))
    job.spend(85, "repair", at(second, "11:40"))
    job.charge("124.00", "212.00")
    return Told(job.hand_back(at(second, "16:30"), 88_312, "repaired"), name="charge_cable.first")


def _cable_found(day: date) -> Told:
    next_day = day + timedelta(days=1)
    job = Job(VANE, OVIDE, opened=at(day, "08:00"), odo_in=88_905, technician=TOBIN, since_repair=True)
    job.complaint(
        "Charging light comes on at the lights with the heater going. It did stop for a week after the new "
        "alternator, then it started again.",
        system="charging",
        symptom="charge_lamp_idle_load",
        pattern="intermittent",
        difficulty=2,
    )
    job.authorise(60, at(day, "08:05"))
    job.attempt(
        at(day, "08:50"),
        "reproduced",
        "Engine hot, idle, headlamps, blower and rear screen on, ten minutes each. Lamp on in 3 of 4. "
        "Nothing connected.",
        n=4,
        k=3,
    )
    job.plan(5, "Engine hot, ten minutes at idle with headlamps, blower and rear screen on.")
    evidence = _measure(job, day)
    dropping = job.cause(
        CABLE,
        "The charge cable loses 1.9 V at its crimp when 62 A flow.",
        "high resistance",
        evidence,
    )
    job.work(
        "replace",
        CABLE,
        reason="cause",
        cause=dropping,
        on=at(day, "14:30"),
        part=part("Charge cable 25 mm2 with eyes", batch="CC-2507", supplier="Northgate Electrics"),
    )
    _prove(job, day, next_day)
    job.spend(52, "diagnosis", at(day, "10:20"))
    job.spend(60, "repair", at(day, "14:30"))
    job.disturb("air-filter housing")
    job.charge("0.00", "42.00", unbilled_minutes=112)
    return Told(job.hand_back(at(next_day, "12:15"), 88_921, "repaired"), name="charge_cable.return")


def _measure(job: Job, day: date) -> list[str]:
    """Take every reading the protocol asks for; return those that prove the cable."""
    job.observe(
        "drive_belt_check",
        "pass",
        "Belt dry, no glaze, pulley clutch turns one way only.",
        on=at(day, "09:20"),
    )
    job.measure("charging_voltage", "14.1", on=at(day, "09:25"), using="meter 2", point=POSTS)
    loaded = job.measure(
        "charging_voltage_loaded",
        "12.4",
        on=at(day, "09:32"),
        using="meter 2",
        point=POSTS,
        limits=MAKER_LOADED,
    )
    stud = job.measure(
        "charging_voltage_loaded",
        "14.3",
        on=at(day, "09:35"),
        using="meter 2",
        point="alternator output stud",
        limits=MAKER_LOADED,
    )
    drop = job.measure(
        "charge_cable_drop", "1.90", on=at(day, "09:41"), using="meter 2", point=STUD_TO_POST, isolates=CABLE
    )
    ground = job.measure(
        "charge_ground_drop",
        "0.06",
        on=at(day, "09:46"),
        using="meter 2",
        point="alternator case to battery negative post",
    )
    output = job.measure(
        "alternator_output",
        "88",
        on=at(day, "10:05"),
        using="clamp 1",
        point="alternator output cable",
        limits=MAKER_OUTPUT,
    )
    job.suspect(CABLE, "confirmed", [drop])
    job.suspect("alternator", "ruled_out", [stud, output])
    job.suspect("engine ground strap", "ruled_out", [ground])
    job.assume("The alternator fitted at the last visit is sound.", "alternator", "confirmed", [output])
    return [loaded, stud, drop]


def _prove(job: Job, day: date, next_day: date) -> None:
    job.measure(
        "charge_cable_drop", "0.14", on=at(day, "14:50"), using="meter 2", point=STUD_TO_POST, phase="after"
    )
    job.measure(
        "charging_voltage_loaded",
        "14.0",
        on=at(day, "14:55"),
        using="meter 2",
        point=POSTS,
        phase="after",
        limits=MAKER_LOADED,
    )
    job.trial(at(day, "16:40"), 2)
    job.trial(at(next_day, "11:30"), 3)
