"""Flat after standing: a battery sold without a draw test, back after 16 days and 312 miles.

The return is still open: a trailer-socket module that never sleeps is found and replaced, and
what is left to do stands on the job.
"""

from __future__ import annotations

from datetime import date, timedelta

from diagnostics.demo.days import NIGHT_CELSIUS, at, place
from diagnostics.demo.exact import limits
from diagnostics.demo.job import Job, Told, part
from diagnostics.demo.people import CORIN, TOBIN, Person, landline
from diagnostics.demo.vehicles import Vehicle

HANNE = Person("C0001", "Hanne Orrick", landline(104), "hanne.orrick@example.org")
TARN = Vehicle("V0001", "00ZNV4T27HR104219", "QX 4471", 2017, "Norvane", "Tarn estate", "1.4 petrol, 4 cyl")
VEHICLES = (TARN,)

DAYS_BETWEEN = 16
MILES_BETWEEN = 312
MILES_AT_HAND_OVER = 61_204
MODULE = "trailer-socket module"
FUSE_14 = "fuse 14"
DRAW_LIMIT = limits(hi="0.05")
FUSE_LIMIT = limits(hi="0.2")


def tell(last: date) -> list[Told]:
    """Return both orders; nothing in them is later than `last`."""
    came_back = place((-DAYS_BETWEEN - 1, -DAYS_BETWEEN, 0, 2), last)
    return [_battery_sold(came_back), _draw_found(came_back)]


def _battery_sold(came_back: date) -> Told:
    first, second = (came_back - timedelta(days=DAYS_BETWEEN + n) for n in (1, 0))
    job = Job(TARN, HANNE, opened=at(first, "08:05"), odo_in=MILES_AT_HAND_OVER, technician=CORIN)
    job.complaint(
        "It was flat yesterday, two mornings running. My neighbour had to jump it.",
        system="battery",
        symptom="flat_after_standing",
        pattern="constant",
        difficulty=2,
    )
    job.authorise(30, at(first, "08:10"))
    job.measure(
        "rest_voltage", None, on=at(first, "09:20"), point="battery terminals", observation="Battery bad."
    )
    job.measure(
        "charging_voltage", "14.2", on=at(second, "16:20"), using="meter 1", point="battery terminals"
    )
    job.waive("fuse_drop", "No draw suspected.", CORIN)
    job.suspect("battery", "confirmed")
    worn = job.cause("battery", "The battery is worn.", "low capacity", [])
    job.work(
        "replace",
        "battery",
        reason="cause",
        cause=worn,
        on=at(second, "16:05"),
        part=part("Battery 12 V 60 Ah", batch="2631", supplier="Tarn Valley Trade Parts"),
        note="Customer waiting, battery was obvious.",
    )
    job.spend(15, "diagnosis", at(first, "09:20"))
    job.spend(20, "repair", at(second, "16:05"))
    job.charge("20.67", "106.00")
    return Told(job.hand_back(at(second, "16:50"), MILES_AT_HAND_OVER, "repaired"), name="battery_draw.first")


def _draw_found(day: date) -> Told:
    third_day = day + timedelta(days=2)
    job = Job(
        TARN,
        HANNE,
        opened=at(day, "08:20"),
        odo_in=MILES_AT_HAND_OVER + MILES_BETWEEN,
        technician=TOBIN,
        since_repair=True,
    )
    job.complaint(
        "It's flat again after standing two nights. You only just sold me the battery, "
        "and I had to be jumped to get to work.",
        system="battery",
        symptom="flat_after_standing",
        pattern="constant",
        difficulty=2,
    )
    job.authorise(60, at(day, "08:25"))
    job.attempt(
        at(third_day, "08:10"),
        "reproduced",
        "Charged to 12.66 V, locked and left for two nights, 38.5 hours from 17:40, "
        f"{NIGHT_CELSIUS[day.month]} °C. The starter would not turn. No test equipment connected.",
        k=1,
    )
    job.plan(1, "Stand two nights locked, nothing plugged in, then start.")
    _measure_and_isolate(job, third_day)
    job.spend(58, "diagnosis", at(third_day, "09:42"))
    job.spend(66, "repair", at(third_day, "11:05"))
    job.disturb("left rear trim")
    return Told(
        job.line(),
        name="battery_draw.return",
        waiting_on="technician",
        note="Tobin Marl, bay 2. Left to do: load test of the battery, the meter used at 09:40, fuse 14 and "
        "the draw once more, and two nights locked.",
    )


def _measure_and_isolate(job: Job, day: date) -> None:
    rest = job.measure(
        "rest_voltage",
        "12.05",
        on=at(day, "08:12"),
        using="meter 2",
        point="battery terminals",
    )
    job.dispose(rest, "Follows from the draw. To be read again after the stand.", TOBIN)
    label = job.observe(
        "harness_disturbed",
        "pass",
        "Trailer socket from an accessory set, not the maker's: label on the module, photo 3. Plugs dry and "
        "seated; its feed, fuse 14, is on the unswitched side.",
        on=at(day, "08:40"),
        point="left rear trim",
    )
    draw = job.measure(
        "standing_draw",
        "1.21",
        on=at(day, "08:58"),
        using="clamp 1",
        point="battery ground cable",
        unit="A",
        limits=DRAW_LIMIT,
    )
    fuse = job.measure(
        "fuse_drop", "5.3", on=at(day, "09:06"), using="meter 2", point=FUSE_14, limits=FUSE_LIMIT
    )
    others = job.measure(
        "fuse_drop",
        "0.1",
        on=at(day, "09:14"),
        using="meter 2",
        point="fuses 1 to 13 and 15 to 22, highest of 21",
        limits=FUSE_LIMIT,
    )
    unplugged = job.measure(
        "standing_draw",
        "0.03",
        on=at(day, "09:31"),
        using="clamp 1",
        point="battery ground cable, module unplugged",
        unit="A",
        limits=DRAW_LIMIT,
    )
    again = job.measure(
        "standing_draw",
        "1.21",
        on=at(day, "09:36"),
        using="clamp 1",
        point="battery ground cable, module plugged in again",
        isolates=MODULE,
        unit="A",
        limits=DRAW_LIMIT,
        repeatable=False,
    )
    job.measure("charging_voltage", "14.2", on=at(day, "09:40"), point="battery terminals")
    out = job.event(at(day, "09:27"), "intervention", "Trailer-socket module unplugged.")
    job.event(at(day, "09:31"), "symptom", "Draw falls.", change="1.21 A to 0.03 A")
    job.claim(out, "fix")
    job.reverse(
        out,
        [
            ("module plugged in", True, 1),
            ("module unplugged", False, 1),
            ("module plugged in", True, 1),
            ("module unplugged", False, 1),
        ],
    )
    job.suspect(MODULE, "confirmed", [fuse, again])
    job.suspect("tailgate control unit", "ruled_out", [unplugged])
    job.suspect("rear-wash relay", "ruled_out", [unplugged])
    job.suspect("radio", "ruled_out", [others])
    job.assume(
        "The trailer socket was fitted by a previous owner, not by the maker.", MODULE, "confirmed", [label]
    )
    never_sleeps = job.cause(
        MODULE,
        "The trailer-socket module does not go to sleep.",
        "does not sleep",
        [draw, fuse, unplugged, again],
    )
    _replace_module(job, never_sleeps, day)


def _replace_module(job: Job, cause: str, day: date) -> None:
    job.work(
        "replace",
        MODULE,
        reason="cause",
        cause=cause,
        on=at(day, "11:05"),
        part=part("Trailer-socket module, 12 V, 13-pin", batch="2640-C", supplier="Northgate Electrics"),
    )
    job.work(
        "repair",
        "trailer-socket feed",
        reason="consequential",
        cause=cause,
        on=at(day, "11:05"),
        note="Fuse 14 feed moved to the switched side, as the module's fitting sheet says.",
    )
