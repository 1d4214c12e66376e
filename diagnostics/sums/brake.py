"""Thickness of brake discs and linings, and pedal travel (trade-values.md section 4.7)."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from diagnostics.sums.care import care
from diagnostics.sums.figures import figure
from diagnostics.sums.tyre import GROUP
from shared.computing import Given, Refused, computation
from shared.units import INCH_M

LEAST_POINTS = 8  # Common practice: the thinnest of at least eight points around the disc.
VARIATION_DOUBTFUL_MM, VARIATION_MOST_MM = 0.010, 0.015  # Common practice.
SIXTEENTH_MM, THIRTY_SECOND_MM = (float(INCH_M * 1000 / part) for part in (16, 32))
LININGS_MM = {
    "riveted or bolted, above the fastener": THIRTY_SECOND_MM,
    "bonded, above the shoe": SIXTEENTH_MM,
    "hydraulic disc, commercial vehicle": SIXTEENTH_MM,
    "disc pad of a car": 3.0,
}
LINING_SOURCE = (
    "49 CFR 570.59 (shoes), 393.47(d) (commercial discs); 3 mm for the pad of a car is common practice"
)
PEDAL_MOST_PERCENT = 80.0

CARE = care("brake", "lifting")


def _points(least: int) -> Given:
    return Given(
        "mm", f"Thickness at {LEAST_POINTS} or more points around the disc", "mm", "numbers",
        above=0, high=100, least=least, example=[22.41, 22.40, 22.41, 22.42, 22.41, 22.40, 22.40, 22.41],
    )  # fmt: skip


def _disc_says(answer: Mapping[str, Any], given: Mapping[str, Any]) -> str:
    thinnest = f"The thinnest point has {figure(answer['thinnest_mm'], digits=5)} mm"
    return {
        "above": f"{thinnest}, {figure(answer['left_mm'], digits=3)} mm above the discard thickness.",
        "below": f"{thinnest}, below the discard thickness: replace the disc, and its fellow on the axle.",
        "not-proved": f"{thinnest}: too near the discard thickness for this micrometer to prove either.",
    }[answer["verdict"]]


@computation(
    "brake.disc_verdict",
    "Whether a brake disc is thick enough",
    _points(1),
    Given(
        "discard_mm",
        "Discard thickness embossed on it, else the maker's; not the “machine to” figure",
        "mm",
        above=0,
        high=100,
        example=20.4,
    ),
    Given(
        "uncertainty_mm", "Uncertainty of the micrometer, ±; 0 if empty", "mm", low=0, high=1, optional=True
    ),
    answers={"verdict": "", "thinnest_mm": "mm", "left_mm": "mm", "points": ""},
    formula="thinnest − discard, proved only beyond the uncertainty",
    source="49 CFR 570.59 and 570.60; guard band by ISO 14253-1",
    mark="read",
    valid="Micrometer, thinnest of eight or more points, disc clean and cold.",
    cautions=CARE,
    group=GROUP,
    says=_disc_says,
)
def disc_verdict(
    mm: list[float], discard_mm: float, uncertainty_mm: float = 0.0
) -> dict[str, str | float | int]:
    """Return `above`, `below` or `not-proved`, the thinnest point, what is left, how many points. [mm]"""
    thinnest = min(mm)
    if thinnest >= discard_mm + uncertainty_mm:
        verdict = "above"
    else:
        verdict = "below" if thinnest < discard_mm - uncertainty_mm else "not-proved"
    return {
        "verdict": verdict,
        "thinnest_mm": thinnest,
        "left_mm": thinnest - discard_mm,
        "points": len(mm),
    }


@computation(
    "brake.thickness_variation",
    "Thickness variation of a brake disc, which is what a pulsing pedal comes from",
    _points(2),
    answers={"verdict": "", "variation_mm": "mm"},
    formula="thickest − thinnest; up to 0.010 mm usual, to 0.015 doubtful",
    source="usual limits; the maker's figure wins",
    mark="common practice",
    valid="Micrometer with 0.001 mm, at one radius, eight or more points.",
    cautions=CARE,
    group=GROUP,
    says=lambda answer, given: {
        "usual": "Usual: a pulsing pedal does not come from this disc's thickness.",
        "doubtful": (
            "At the edge: measure again at another radius, and runout with a dial gauge on the hub too."
        ),
        "above": "Enough to be felt in the pedal: find out why (runout, hub, rust) before a disc goes on.",
    }[answer["verdict"]],
)
def thickness_variation(mm: list[float]) -> dict[str, str | float]:
    """Return `usual`, `doubtful` or `above`, and the variation. [mm]"""
    variation = max(mm) - min(mm)
    steps = ((VARIATION_DOUBTFUL_MM, "usual"), (VARIATION_MOST_MM, "doubtful"))
    # Thicknesses are typed to a thousandth: a difference of two floats must not pass a limit by its rounding.
    verdict = next((word for most, word in steps if round(variation, 6) <= most), "above")
    return {"verdict": verdict, "variation_mm": variation}


@computation(
    "brake.lining_verdict",
    "Whether a brake lining is thick enough",
    Given("mm", "Thinnest place of the lining", "mm", low=0, high=100, example=4.2),
    Given("kind", "Lining", kind="choice", choices=tuple(LININGS_MM), example="disc pad of a car"),
    answers={"verdict": "", "limit_mm": "mm", "left_mm": "mm"},
    formula="table: 1/32 in above a fastener, 1/16 in bonded and commercial discs, 3 mm for a car's pad",
    source=LINING_SOURCE,
    mark="read",
    valid="The thinnest place of all linings of the axle; the maker's figure and the law of your place win.",
    cautions=CARE,
    group=GROUP,
    says=lambda answer, given: (
        f"{figure(answer['left_mm'], digits=3)} mm above the limit of "
        f"{figure(answer['limit_mm'], digits=3)} mm."
        if answer["verdict"] == "above-limit"
        else f"Under the limit of {figure(answer['limit_mm'], digits=3)} mm: replace the linings of the axle."
    ),
)
def lining_verdict(mm: float, kind: str) -> dict[str, str | float]:
    """Return `above-limit` or `worn-out`, the limit, and what is left. [mm]"""
    limit = LININGS_MM[kind]
    return {
        "verdict": "above-limit" if mm >= limit else "worn-out",
        "limit_mm": limit,
        "left_mm": max(mm - limit, 0.0),
    }


@computation(
    "brake.pedal_travel",
    "How much of its travel the brake pedal uses",
    Given("used_mm", "Travel used at 50 lb (222 N) on the pedal", "mm", low=0, high=500, example=70),
    Given("total_mm", "Travel from rest to the floor", "mm", above=0, high=500, example=130),
    answers={"verdict": "", "percent": "%"},
    formula="100 × used / total, at most 80",
    source="49 CFR 570.55(c), vehicles over 10,000 lb; taken as a limit for others too",
    mark="read",
    valid="Engine running where the brakes have a booster. The maker's figure wins.",
    cautions=CARE,
    group=GROUP,
    says=lambda answer, given: (
        f"The pedal uses {figure(answer['percent'], digits=3)} % of its travel"
        + (
            ", which leaves a reserve."
            if answer["verdict"] == "within"
            else ": more than 80 %, no reserve is left."
        )
    ),
)
def pedal_travel(used_mm: float, total_mm: float) -> dict[str, str | float]:
    """Return `within` or `above`, and the share of the travel that is used. [%]"""
    if used_mm > total_mm:
        raise Refused("used_mm", f"{used_mm:g} mm is more than the pedal has.", f"0 to {total_mm:g} mm")
    percent = 100 * (used_mm / total_mm)
    return {"verdict": "within" if percent <= PEDAL_MOST_PERCENT else "above", "percent": percent}
