"""Air conditioning warm in traffic: charge corrected without a leak test, back in 51 days and 1,900 miles."""

from __future__ import annotations

from datetime import date, timedelta

from diagnostics.demo.days import at, is_open, place
from diagnostics.demo.exact import limits
from diagnostics.demo.job import Job, Told, part
from diagnostics.demo.people import CORIN, ISA, TOBIN, Person, landline
from diagnostics.demo.vehicles import Vehicle, vin_of

BAKERY = Person("C0005", "Stonebeck Bakery", landline(109), "office@stonebeck-bakery.example")
QUILL = Vehicle(
    "V0005", vin_of("EK7", 2019, 507_206), "LT 7206", 2019, "Ostrey", "Quill van", "2.0 diesel, 4 cyl"
)
VEHICLES = (QUILL,)

DAYS_BETWEEN = 51
MILES_BETWEEN = 1_900
MILES_AT_HAND_OVER = 71_350
WARM_MONTHS = range(6, 10)
CONDENSER = "air-conditioning condenser"
VENT = "centre vent"
EVERYWHERE = "all joints, condenser, evaporator drain, compressor shaft"
MAKER_VENT = limits(hi="10")
MAKER_SHARE = limits("95", "105")
MAKER_HIGH_SIDE = limits("1400", "1900")
SATURATION = limits("450", "490")


def tell(last: date) -> list[Told]:
    """Return both orders, in the last warm months that had room for them before `last`."""
    came_back = place((-DAYS_BETWEEN, 0, 1), last, _is_warm)
    return [_topped_up(came_back - timedelta(days=DAYS_BETWEEN)), _leak_found(came_back)]


def _is_warm(day: date) -> bool:
    return is_open(day) and day.month in WARM_MONTHS


def _topped_up(day: date) -> Told:
    job = Job(QUILL, BAKERY, opened=at(day, "13:10"), odo_in=MILES_AT_HAND_OVER - 2, technician=CORIN)
    job.complaint(
        "The air-con blows warm when I stand in traffic. On the bypass it is all right.",
        system="hvac",
        symptom="ac_warm_in_traffic",
        pattern="intermittent",
        difficulty=2,
    )
    job.authorise(40, at(day, "13:15"))
    job.attempt(at(day, "13:50"), "reproduced", "Idling in the yard, 27 °C, ten minutes.", k=1)
    job.measure(
        "vent_temperature", "17.5", on=at(day, "13:55"), using="thermometer 1", point=VENT, limits=MAKER_VENT
    )
    job.observe(
        "condenser_fan", "pass", "Fan runs at both stages, face of the condenser clean.", on=at(day, "14:00")
    )
    low = job.measure(
        "ac_charge_recovered",
        "62",
        on=at(day, "14:40"),
        using="scale 1",
        point="recovery machine scale",
        limits=MAKER_SHARE,
    )
    job.suspect("refrigerant charge", "confirmed", [low])
    job.suspect("refrigerant leak", "open")
    short = job.cause("refrigerant charge", "The charge was low.", "low charge", [low])
    job.work(
        "adjust",
        "refrigerant charge",
        reason="cause",
        cause=short,
        on=at(day, "15:20"),
        note="Filled to the label's charge.",
        part=part("Refrigerant", quantity="0.52 kg", batch=None, supplier="Tarn Valley Trade Parts"),
    )
    job.measure(
        "vent_temperature",
        "7.8",
        on=at(day, "15:45"),
        using="thermometer 1",
        point=VENT,
        phase="after",
        limits=MAKER_VENT,
    )
    job.assume("Some loss over the years is normal, nothing leaks.", "refrigerant leak")
    job.spend(35, "diagnosis", at(day, "14:40"))
    job.spend(40, "repair", at(day, "15:20"))
    job.charge("77.50", "46.80")
    return Told(job.hand_back(at(day, "16:40"), MILES_AT_HAND_OVER, "repaired"), name="warm_air.first")


def _leak_found(day: date) -> Told:
    next_day = day + timedelta(days=1)
    job = Job(
        QUILL,
        BAKERY,
        opened=at(day, "07:40"),
        odo_in=MILES_AT_HAND_OVER + MILES_BETWEEN,
        technician=TOBIN,
        since_repair=True,
    )
    job.complaint(
        "The air-con blows warm in traffic, again. The bread van is an oven by ten o'clock.",
        system="hvac",
        symptom="ac_warm_in_traffic",
        pattern="intermittent",
        difficulty=2,
    )
    job.authorise(120, at(day, "07:45"))
    job.attempt(
        at(day, "08:30"),
        "reproduced",
        "Idle in still air, bonnet closed, 24 °C, 15 minutes each. Vents warm 3 of 3. No gauges connected.",
        n=3,
        k=3,
    )
    job.plan(4, "Idle in still air, 15 minutes each, bonnet closed, nothing connected.")
    evidence = _measure(job, day)
    leaks = job.cause(
        CONDENSER,
        "The condenser leaks at its lower left corner, where stones have hit it.",
        "leaks",
        evidence,
    )
    _replace_condenser(job, leaks, day)
    _prove(job, next_day)
    job.spend(115, "diagnosis", at(day, "11:40"))
    job.spend(150, "repair", at(day, "16:20"))
    job.charge("77.50", "176.00", unbilled_minutes=190)
    return Told(
        job.hand_back(at(next_day, "13:00"), MILES_AT_HAND_OVER + MILES_BETWEEN + 6, "repaired"),
        name="warm_air.return",
    )


def _measure(job: Job, day: date) -> list[str]:
    """Find where the charge went; return the readings that prove the condenser."""
    vent = job.measure(
        "vent_temperature", "18.2", on=at(day, "08:35"), using="thermometer 1", point=VENT, limits=MAKER_VENT
    )
    fan = job.observe(
        "condenser_fan",
        "pass",
        "Fan takes both stages, air drawn through the whole face.",
        on=at(day, "08:50"),
        point="condenser and radiator fan",
    )
    static = job.measure(
        "ac_static_pressure",
        "468",
        on=at(day, "09:50"),
        using="gauge set 1",
        point="service ports, soaked at 20 °C",
        limits=SATURATION,
    )
    high = job.measure(
        "ac_high_side",
        "1120",
        on=at(day, "10:10"),
        using="gauge set 1",
        point="high-side service port",
        limits=MAKER_HIGH_SIDE,
    )
    leak = job.observe(
        "ac_leak_test",
        "fail",
        "Detector answers at the condenser's lower left corner, foam shows bubbles there. Every joint, the "
        "shaft, both valves and the drain were reached: nothing.",
        on=at(day, "10:55"),
        using="leak detector 1",
        point=EVERYWHERE,
        isolates=CONDENSER,
    )
    share = job.measure(
        "ac_charge_recovered",
        "58",
        on=at(day, "11:40"),
        using="scale 1",
        point="recovery machine scale",
        limits=MAKER_SHARE,
    )
    job.suspect(CONDENSER, "confirmed", [leak])
    job.suspect("compressor shaft seal", "ruled_out", [leak])
    job.suspect("condenser fan", "ruled_out", [fan])
    job.suspect("air in the system", "ruled_out", [static])
    job.assume("What was missing had leaked out.", CONDENSER, "confirmed", [leak, share])
    return [vent, high, leak, share]


def _replace_condenser(job: Job, cause: str, day: date) -> None:
    job.work(
        "replace",
        CONDENSER,
        reason="cause",
        cause=cause,
        on=at(day, "15:30"),
        part=part("Condenser with drier", batch="CD-88", supplier="Tarn Valley Trade Parts"),
    )
    job.work(
        "adjust",
        "refrigerant charge",
        reason="consequential",
        cause=cause,
        on=at(day, "16:20"),
        note="Evacuated, vacuum held, filled by weight to the label by a certified person.",
    )
    job.disturb("front bumper", "radiator")


def _prove(job: Job, day: date) -> None:
    job.observe(
        "ac_leak_test",
        "pass",
        "Every place reached once more, the new joints twice: nothing.",
        on=at(day, "08:20"),
        by=ISA,
        using="leak detector 1",
        point=EVERYWHERE,
        phase="after",
    )
    job.measure(
        "ac_high_side",
        "1640",
        on=at(day, "08:50"),
        using="gauge set 1",
        point="high-side service port",
        phase="after",
        limits=MAKER_HIGH_SIDE,
    )
    job.measure(
        "vent_temperature",
        "7.4",
        on=at(day, "09:15"),
        using="thermometer 1",
        point=VENT,
        phase="after",
        limits=MAKER_VENT,
    )
    job.trial(at(day, "10:40"), 4)
