"""The jobs that stand open today beside the stories, and whom each waits on."""

from __future__ import annotations

from datetime import date, timedelta

from diagnostics.demo.days import at, last_open_before
from diagnostics.demo.exact import limits
from diagnostics.demo.job import Job, Told, part
from diagnostics.demo.people import CORIN, ISA, TOBIN, Person, landline, mobile
from diagnostics.demo.vehicles import Vehicle, vin_of

STELL = Vehicle(
    "V0011", vin_of("HS6", 2012, 120_755), "DA 2261", 2012, "Haldmark", "Stell saloon", "1.8 petrol, 4 cyl"
)
CORRIOL = Vehicle(
    "V0012", vin_of("BC5", 2020, 131_094), "GT 9180", 2020, "Brisolet", "Corriol", "1.5 diesel, 4 cyl"
)
SILL = Vehicle("V0013", vin_of("NS2", 2016, 142_670), "NB 3307", 2016, "Norvane", "Sill", "1.0 petrol, 3 cyl")
SKERROW = Vehicle(
    "V0014", vin_of("TS8", 2011, 153_018), "FW 6642", 2011, "Tolmer", "Skerrow 4x4", "2.4 diesel, 4 cyl"
)
VANE = Vehicle(
    "V0015", vin_of("BV2", 2013, 164_881), "CE 8812", 2013, "Brisolet", "Vane", "1.2 petrol, 4 cyl"
)
HAMLIN = Vehicle(
    "V0016", vin_of("EH9", 2017, 175_320), "JH 1156", 2017, "Ostrey", "Hamlin pick-up", "2.4 diesel, 4 cyl"
)
FENN = Vehicle("V0017", vin_of("TF1", 2010, 186_612), "EY 6127", 2010, "Tolmer", "Fenn", "1.6 petrol, 4 cyl")
TARN = Vehicle(
    "V0018", vin_of("NT1", 2015, 190_333), "WU 9033", 2015, "Norvane", "Tarn hatch", "1.2 petrol, 4 cyl"
)
VEHICLES = (STELL, CORRIOL, SILL, SKERROW, VANE, HAMLIN, FENN, TARN)

EDDA = Person("C0011", "Edda Larkrigg", mobile(111), "edda.larkrigg@example.org")
FERGAL = Person("C0012", "Fergal Wasdow", mobile(112), None)
THIRZA = Person("C0013", "Thirza Ullock", landline(113), "thirza.ullock@example.org")
NOLL = Person("C0014", "Noll Kettlow", mobile(114), "noll.kettlow@example.org")
WENNA = Person("C0015", "Wenna Dross", mobile(115), "wenna.dross@example.org")
LOWFOLD = Person("C0016", "Lowfold Farm", landline(116), "office@lowfold-farm.example")
ALDOUS = Person("C0017", "Aldous Merrin", mobile(117), "aldous.merrin@example.org")
PETRIN = Person("C0018", "Petrin Gall", landline(118), None)

FAN = "radiator fan motor"
HOSE = "power steering hose"
LINK = "anti-roll bar link, left"
CABLE = "starter cable"


def tell(last: date) -> list[Told]:
    """Return the open jobs; nothing in them is later than `last`."""
    before = last_open_before(last)
    earlier = last_open_before(before)
    return [
        _lamp_just_in(last),
        _service_done(before, last),
        _climbs_in_traffic(before, last),
        _rattles(last),
        _whines(earlier, before),
        _clicks(before, last),
        _fuel_smell(before, last),
        _cobbles(earlier, last),
    ]


def _lamp_just_in(day: date) -> Told:
    job = Job(CORRIOL, FERGAL, opened=at(day, "16:20"), odo_in=58_204, technician=ISA)
    job.complaint(
        "The engine light is on since the school run, but it drives as always. Is it safe until next week?",
        system="emissions",
        symptom="engine_lamp_steady",
        pattern="constant",
    )
    return Told(
        job.line(), "open.just_in", "advisor", "Key is here. Confirm the words and the diagnosis limit."
    )


def _service_done(day: date, last: date) -> Told:
    job = Job(SILL, THIRZA, opened=at(day, "08:15"), odo_in=41_377, technician=CORIN, visit="maintenance")
    job.complaint("Yearly service, and the wipers smear.", kind="maintenance")
    for component, words in (
        ("engine oil", "Engine oil 4.0 L"),
        ("oil filter", "Oil filter"),
        ("air filter", "Air filter"),
        ("wiper blades", "Wiper blades, pair"),
    ):
        job.work(
            "replace",
            component,
            reason="maintenance",
            on=at(last, "15:40"),
            part=part(words, supplier="Hollin Motor Factors"),
        )
    job.decline(
        "front tyres",
        "safety",
        system="tyres_wheels",
        informed_on=last.isoformat(),
        follow_up_on=(last + timedelta(days=42)).isoformat(),
    )
    job.spend(85, "repair", at(last, "15:40"))
    job.charge("87.83", "81.00")
    return Told(job.line(), "open.to_invoice", "advisor", "Service done. Invoice to issue, tyres to mention.")


def _climbs_in_traffic(day: date, last: date) -> Told:
    job = Job(STELL, EDDA, opened=at(day, "09:05"), odo_in=93_518, technician=ISA)
    job.complaint(
        "The gauge climbs when I stand in the queue at the bridge and falls again when I drive.",
        system="cooling",
        symptom="overheats_in_traffic",
        pattern="intermittent",
        difficulty=2,
    )
    job.authorise(60, at(day, "09:10"))
    job.attempt(
        at(day, "11:20"),
        "reproduced",
        "Idle in still air, 25 minutes, three times, nothing connected.",
        n=3,
        k=2,
    )
    job.observe(
        "coolant_level_condition",
        "pass",
        "Level at the mark, clean, protected to -32 °C.",
        on=at(day, "10:30"),
        point="expansion tank, cold",
    )
    job.suspect(FAN, "open")
    job.suspect("fan relay", "open")
    job.suspect("radiator", "open")
    job.spend(32, "diagnosis", at(last, "16:10"))
    return Told(
        job.line(),
        "open.half_measured",
        "technician",
        "Isa Renk, bay 1. Seen 2 of 3; when the fan cuts in is the next reading.",
    )


def _rattles(last: date) -> Told:
    job = Job(SKERROW, NOLL, opened=at(last, "11:40"), odo_in=128_660, technician=CORIN)
    job.complaint(
        "Something tinny rattles under it when I pull away, worse with the trailer on.",
        system="exhaust",
        symptom="exhaust_rattle",
        pattern="intermittent",
        difficulty=1,
    )
    job.authorise(30, at(last, "11:45"))
    job.attempt(
        at(last, "14:30"), "reproduced", "Pulling away in second, cold and warm, six times.", n=6, k=6
    )
    job.spend(12, "diagnosis", at(last, "14:40"))
    return Told(
        job.line(), "open.seen", "technician", "Corin Hesk, on the lift next. Seen 6 of 6, not measured."
    )


def _whines(day: date, next_day: date) -> Told:
    job = Job(VANE, WENNA, opened=at(day, "08:50"), odo_in=67_093, technician=TOBIN)
    job.complaint(
        "Whines when I turn the wheel, most of all when I park.",
        system="steering",
        symptom="steering_noise",
        pattern="constant",
        difficulty=1,
    )
    job.authorise(45, at(day, "08:55"))
    job.attempt(at(day, "09:40"), "reproduced", "Parking in the yard, lock to lock, engine warm.", k=1)
    _find_hose(job, next_day)
    job.spend(34, "diagnosis", at(next_day, "09:20"))
    return Told(
        job.line(), "open.hose_ordered", "parts", "Pressure hose ordered, comes with the morning van."
    )


def _find_hose(job: Job, day: date) -> None:
    fluid = job.observe(
        "steering_fluid",
        "fail",
        "Level below the lower mark, froth in it. Wet from the crimp of the pressure hose down. Photo 1.",
        on=at(day, "08:40"),
        point="fluid tank and lines",
        isolates=HOSE,
    )
    belt = job.observe(
        "drive_belt_check", "pass", "Belt dry, tensioner in its mark, pulleys quiet.", on=at(day, "08:50")
    )
    joints = job.observe("steering_joints", "pass", "No play, boots whole, both sides.", on=at(day, "09:05"))
    job.observe("top_mount_check", "pass", "Turn evenly, no jump, both sides.", on=at(day, "09:15"))
    job.suspect(HOSE, "confirmed", [fluid])
    job.suspect("auxiliary belt", "ruled_out", [belt])
    job.suspect("steering column joint", "ruled_out", [joints])
    job.cause(HOSE, "The pressure hose weeps at its crimp and the pump draws air.", "leaks", [fluid])


def _clicks(day: date, last: date) -> Told:
    job = Job(HAMLIN, LOWFOLD, opened=at(day, "07:50"), odo_in=84_275, technician=TOBIN)
    job.complaint(
        "It only goes click when I turn the key. Third time this week, then it catches.",
        system="starting",
        symptom="no_crank_click",
        pattern="intermittent",
        difficulty=2,
    )
    job.authorise(60, at(day, "07:55"))
    job.attempt(at(day, "10:10"), "reproduced", "Warm engine, ten starts, nothing connected.", n=10, k=4)
    job.plan(8, "Warm engine, key starts five minutes apart.")
    _find_cable(job, last)
    job.spend(48, "diagnosis", at(last, "10:50"))
    return Told(job.line(), "open.cable_ordered", "parts", "Starter cable ordered, comes with the noon van.")


def _find_cable(job: Job, day: date) -> None:
    rest = job.measure(
        "rest_voltage", "12.58", on=at(day, "09:50"), using="meter 2", point="battery terminals"
    )
    low = job.measure(
        "cranking_voltage", "10.9", on=at(day, "10:00"), using="meter 2", point="battery terminals"
    )
    job.measure(
        "battery_clamp_drop", "0.02", on=at(day, "10:08"), using="meter 2", point="positive post to clamp"
    )
    drop = job.measure(
        "starter_positive_drop",
        "2.10",
        on=at(day, "10:22"),
        using="meter 2",
        point="battery positive post to starter main stud",
        isolates=CABLE,
    )
    ground = job.measure(
        "starter_ground_drop",
        "0.11",
        on=at(day, "10:30"),
        using="meter 2",
        point="starter case to battery negative post",
    )
    job.observe("engine_turns_by_hand", "pass", "Turns evenly by hand, two full turns.", on=at(day, "10:40"))
    job.suspect(CABLE, "confirmed", [drop])
    job.suspect("battery", "ruled_out", [rest, low])
    job.suspect("engine ground strap", "ruled_out", [ground])
    job.cause(CABLE, "The starter cable drops 2.1 V at its lower eye.", "high resistance", [drop])


def _fuel_smell(day: date, last: date) -> Told:
    job = Job(FENN, ALDOUS, opened=at(day, "08:40"), odo_in=112_840, technician=CORIN)
    job.complaint(
        "Smells of petrol on hills, inside too. Windows open it is gone.",
        system="fuel",
        symptom="fuel_smell",
        pattern="intermittent",
        difficulty=3,
    )
    job.authorise(45, at(day, "08:45"))
    job.attempt(
        at(day, "11:05"),
        "partly",
        "Full tank, Cutter's Hill twice, windows shut. A breath of it at the top, gone before the lay-by.",
        n=2,
        k=1,
    )
    job.plan(3, "Full tank, Cutter's Hill, windows shut.")
    job.observe(
        "fuel_leak_check",
        "pass",
        "Lines, rail and filler dry, engine running and after ten minutes off.",
        on=at(last, "09:30"),
        point="all lines, rail and filler",
    )
    job.suspect("filler cap seal", "open")
    job.suspect("fuel hose at tank", "open")
    job.spend(44, "diagnosis", at(last, "09:40"))
    return Told(
        job.line(),
        "open.asked_for_time",
        "customer",
        "Asked for 30 more minutes, £31.00. Link sent, read 17:02.",
    )


def _cobbles(day: date, last: date) -> Told:
    job = Job(TARN, PETRIN, opened=at(day, "09:30"), odo_in=50_612, technician=CORIN)
    job.complaint(
        "Rattle over the cobbles in Mill Lane, front left I think.",
        system="suspension",
        symptom="knock_over_bumps",
        pattern="constant",
        difficulty=1,
    )
    job.authorise(30, at(day, "09:35"))
    job.attempt(at(day, "10:20"), "reproduced", "Mill Lane at 15 mph, twice, windows open.", n=2, k=2)
    _find_link(job, day, last)
    job.spend(26, "diagnosis", at(day, "11:10"))
    job.spend(40, "repair", at(last, "14:20"))
    job.charge("68.20", "18.00")
    return Told(job.line(), "open.to_fetch", "customer", "Ready. Papers to go through, key to hand over.")


def _find_link(job: Job, day: date, last: date) -> None:
    axle = "front axle, left and right"
    loose = job.observe(
        "bush_check",
        "fail",
        "Left anti-roll bar link knocks in its lower ball, right one tight. Bushes whole.",
        on=at(day, "10:45"),
        point=axle,
        isolates=LINK,
    )
    joint = job.measure(
        "ball_joint_play",
        "0.2",
        on=at(day, "10:55"),
        using="dial gauge 1",
        point="front left, lower joint",
        limits=limits(hi="1"),
    )
    damper = job.observe("damper_check", "pass", "Dry, one swing and still.", on=at(day, "11:00"), point=axle)
    job.observe("spring_check", "pass", "All turns there, seats clean.", on=at(day, "11:04"), point=axle)
    mount = job.observe(
        "top_mount_check", "pass", "No jump when the wheel turns.", on=at(day, "11:08"), point=axle
    )
    job.suspect(LINK, "confirmed", [loose])
    job.suspect("lower ball joint, left", "ruled_out", [joint])
    job.suspect("front shock absorber, left", "ruled_out", [damper])
    job.suspect("top mount, left", "ruled_out", [mount])
    worn = job.cause(LINK, "The left link has play in its lower ball.", "play", [loose])
    job.work(
        "replace",
        LINK,
        reason="cause",
        cause=worn,
        on=at(last, "14:20"),
        part=part("Anti-roll bar link, left", batch="2614", supplier="Brackley & Sons Parts"),
    )
    job.observe(
        "bush_check",
        "pass",
        "New link tight, no knock by hand.",
        on=at(last, "14:35"),
        point=axle,
        phase="after",
    )
    job.measure(
        "ball_joint_play",
        "0.2",
        on=at(last, "14:40"),
        using="dial gauge 1",
        point="front left, lower joint",
        phase="after",
        limits=limits(hi="1"),
    )
    job.trial(at(last, "15:10"), 2)
