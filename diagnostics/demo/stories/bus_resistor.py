"""One end resistor of the two-wire bus missing after body repair: found first time, proved, no return."""

from __future__ import annotations

from datetime import date, timedelta

from diagnostics.demo.days import at, place
from diagnostics.demo.exact import limits
from diagnostics.demo.job import Job, Told, part
from diagnostics.demo.people import ISA, TOBIN, Person, landline
from diagnostics.demo.vehicles import Vehicle, vin_of

TAXIS = Person("C0004", "Brandreth Taxis", landline(108), "office@brandreth-taxis.example")
ORREL = Vehicle(
    "V0004", vin_of("HR3", 2018, 402_094), "PV 2094", 2018, "Haldmark", "Orrel", "2.0 diesel, 4 cyl"
)
VEHICLES = (ORREL,)

DAYS_AGO = 110
"""Longer than the comeback window, so that the job counts as watched to its end."""
END_PLUG = "bus end plug, rear left"
CONNECTOR = "pins 6 and 14 of the diagnostic connector"
END_PINS = "rear left end plug, its own two pins"
RESISTOR_LIMITS = limits("114", "126")
DIFFERENCE = "pin 6 against pin 14"
ROLL_CALL = "diagnostic connector"


def tell(last: date) -> list[Told]:
    """Return the one order; it was handed back more than a comeback window before `last`."""
    day = place((0, 1, 2), last - timedelta(days=DAYS_AGO))
    next_day, last_day = day + timedelta(days=1), day + timedelta(days=2)
    job = Job(ORREL, TAXIS, opened=at(day, "07:55"), odo_in=96_402, technician=ISA)
    job.complaint(
        "Half the dials went dead after the body shop had it. Sometimes they wake up again by themselves.",
        system="network",
        symptom="network_faults_many",
        pattern="intermittent",
        difficulty=3,
    )
    job.authorise(90, at(day, "08:00"))
    job.attempt(
        at(day, "08:40"),
        "reproduced",
        "Key on after ten minutes locked, four times. Rev counter, fuel gauge and brake warning dead in "
        "3 of 4. Nothing connected.",
        n=4,
        k=3,
    )
    job.plan(5, "Cold start after locking, key on, all dials watched for two minutes.")
    _first_day(job, day)
    job.hand_off(
        ISA,
        TOBIN,
        at(next_day, "07:40"),
        known="120 ohm across the pair at the connector, asleep, and a high difference with rounded edges: "
        "one end of the bus is missing. Battery 12.61 V. Body repair at the left rear three weeks ago.",
        ruled_out=["battery", "short between the wires", "front end resistor (120 ohm with the rear parted)"],
        suspected=[END_PLUG, "main line between sill and rear"],
        next_step="Open the left rear trim, restraint precautions first, and measure at the end plug.",
    )
    _second_day(job, next_day)
    job.trial(at(next_day, "15:30"), 2)
    job.trial(at(last_day, "09:10"), 3)
    job.spend(45, "diagnosis", at(day, "10:15"), by=ISA)
    job.spend(38, "diagnosis", at(next_day, "08:50"), by=TOBIN)
    job.spend(35, "repair", at(next_day, "11:10"), by=TOBIN)
    job.charge("121.93", "14.80")
    return [Told(job.hand_back(at(last_day, "11:00"), 96_409, "repaired"), name="bus_resistor.only")]


def _first_day(job: Job, day: date) -> None:
    job.read_codes(
        "stored_codes",
        "U0121 and U0140 stored in three control units: no message from brakes and body unit.",
        on=at(day, "08:55"),
        using="code reader 1",
    )
    job.observe(
        "network_roll_call",
        "fail",
        "Brake and parking-aid units answer only now and then.",
        on=at(day, "09:05"),
        point=ROLL_CALL,
    )
    job.measure("rest_voltage", "12.61", on=at(day, "09:15"), using="meter 1", point="battery terminals")
    job.measure(
        "can_termination",
        "120.4",
        on=at(day, "09:40"),
        using="meter 1",
        point=CONNECTOR,
    )
    job.measure(
        "can_termination",
        "119.8",
        on=at(day, "09:48"),
        using="meter 1",
        point="front end, rear branch parted at the sill plug",
        limits=RESISTOR_LIMITS,
    )
    job.measure("can_difference_dominant", "3.3", on=at(day, "10:05"), using="recorder 1", point=DIFFERENCE)


def _second_day(job: Job, day: date) -> None:
    """Find the open end, put it right and read everything again."""
    job.observe(
        "harness_disturbed",
        "fail",
        "End plug behind the repaired panel is seated, but its bridge with the end resistor was left out. "
        "Photo 1.",
        on=at(day, "08:20"),
        by=TOBIN,
        point="left rear trim",
        isolates=END_PLUG,
    )
    job.measure(
        "can_termination",
        "8600",
        on=at(day, "08:28"),
        by=TOBIN,
        using="meter 2",
        point=END_PINS,
        isolates=END_PLUG,
        limits=RESISTOR_LIMITS,
    )
    bridged = job.event(
        at(day, "08:36"), "intervention", "A 120 ohm resistor held across the end plug's pins."
    )
    job.event(at(day, "08:38"), "symptom", "All dials awake.", change="three dials dead to all alive")
    job.claim(bridged, "fix")
    job.reverse(
        bridged,
        [
            ("end open", True, 2),
            ("120 ohm across the end", False, 2),
            ("end open", True, 2),
            ("120 ohm across the end", False, 2),
        ],
    )
    main_line = job.measure(
        "can_termination",
        "60.5",
        on=at(day, "08:44"),
        by=TOBIN,
        using="meter 2",
        point="connector, 120 ohm held across the rear end",
    )
    job.suspect(END_PLUG, "confirmed", ["t7", "t8"])
    job.suspect("main line between sill and rear", "ruled_out", [main_line])
    job.suspect("front end resistor", "ruled_out", ["t5"])
    job.assume("The body shop had only the left rear apart.", END_PLUG, "confirmed", ["t7"])
    missing = job.cause(
        END_PLUG,
        "The end resistor at the rear left was left out when the panel was repaired.",
        "missing part",
        ["t2", "t4", "t6", "t7", "t8"],
    )
    fitted = job.work(
        "replace",
        END_PLUG,
        reason="cause",
        cause=missing,
        on=at(day, "11:10"),
        by=TOBIN,
        safety=True,
        part=part("Bus end plug with resistor", batch="BE-09", supplier="Northgate Electrics"),
        note="The brake unit speaks over this pair, so a second person checks plug, lock and trim.",
    )
    job.disturb("left rear trim")
    job.check(fitted, ISA, at(day, "13:20"))
    _read_again(job, day)


def _read_again(job: Job, day: date) -> None:
    for value, clock, point, judged in (
        ("60.3", "11:40", CONNECTOR, None),
        ("120.1", "11:20", END_PINS, RESISTOR_LIMITS),
    ):
        job.measure(
            "can_termination",
            value,
            on=at(day, clock),
            by=TOBIN,
            using="meter 2",
            point=point,
            phase="after",
            limits=judged,
        )
    job.measure(
        "can_difference_dominant",
        "2.1",
        on=at(day, "11:55"),
        by=TOBIN,
        using="recorder 1",
        point=DIFFERENCE,
        phase="after",
    )
    job.observe(
        "harness_disturbed",
        "pass",
        "New end plug seated and locked, pair twisted up to it, trim clips in.",
        on=at(day, "12:05"),
        by=TOBIN,
        point="left rear trim",
        phase="after",
    )
    job.observe(
        "network_roll_call",
        "pass",
        "All 14 fitted control units answer, ten calls in a row.",
        on=at(day, "12:10"),
        by=TOBIN,
        point=ROLL_CALL,
        phase="after",
    )
