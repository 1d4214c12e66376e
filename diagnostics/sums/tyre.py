"""Tread depth and its legal limits (trade-values.md section 4.7)."""

from __future__ import annotations

from diagnostics.sums.care import care
from diagnostics.sums.figures import figure
from shared.computing import Given, computation
from shared.units import INCH_M

GROUP = "Tyres and brakes"

THIRTY_SECOND_MM = float(INCH_M * 1000 / 32)  # Exact: the inch is 25.4 mm.
# 49 CFR 393.75 (b) and (c): front wheels of a bus, truck or truck tractor; every other tyre.
LIMITS_32 = {"steer axle of a heavy vehicle": 4.0, "any other tyre": 2.0}
TREAD = Given("place", "Tyre", kind="choice", choices=tuple(LIMITS_32), example="any other tyre")
CARE = care("lifting")


@computation(
    "tyre.inch32_to_mm",
    "Tread depth from thirty-seconds of an inch to millimetres",
    Given("thirty_seconds", "Thirty-seconds of an inch", "/32 in", low=0, high=10_000, example=2),
    unit="mm",
    formula="n × 25.4 / 32",
    source="the international inch of 25.4 mm",
    mark="computed",
    valid="Exact.",
    group=GROUP,
    says=lambda answer, given: f"{figure(given['thirty_seconds'])}/32 in is {figure(answer, digits=5)} mm.",
)
def inch32_to_mm(thirty_seconds: float) -> float:
    """Return a length given in thirty-seconds of an inch. [mm]"""
    return thirty_seconds * THIRTY_SECOND_MM


@computation(
    "tyre.mm_to_inch32",
    "Tread depth from millimetres to thirty-seconds of an inch",
    Given("mm", "Depth", "mm", low=0, high=10_000, example=1.6),
    unit="/32 in",
    formula="mm × 32 / 25.4",
    source="the international inch of 25.4 mm",
    mark="computed",
    valid="Exact.",
    group=GROUP,
    says=lambda answer, given: f"{figure(given['mm'])} mm is {figure(answer)}/32 in.",
)
def mm_to_inch32(mm: float) -> float:
    """Return a length in thirty-seconds of an inch. [1/32 in]"""
    return mm / THIRTY_SECOND_MM


@computation(
    "tyre.tread_verdict",
    "Whether the tread is deep enough",
    Given(
        "mm",
        "Tread depths, across and around (type 4.1 3.9 3.6)",
        "mm",
        "numbers",
        low=0,
        high=60,
        least=1,
        example=[4.1, 3.9, 3.6],
    ),
    TREAD,
    answers={"verdict": "", "lowest_mm": "mm", "limit_mm": "mm", "left_mm": "mm", "spread_mm": "mm"},
    formula="lowest depth − limit; limit 2/32 in, 4/32 in on the steer axle of a heavy vehicle",
    source=(
        "49 CFR 393.75(b) and (c), commercial vehicles in the United States; other places "
        "have limits of their own"
    ),
    mark="read",
    valid="In a main groove, not on a bar or hump; the shallowest counts. The law of your place decides.",
    cautions=CARE,
    group=GROUP,
    says=lambda answer, given: (
        f"The shallowest groove has {figure(answer['lowest_mm'])} mm, "
        + (
            f"{figure(answer['left_mm'])} mm above the limit."
            if answer["verdict"] == "above-limit"
            else f"under the limit of {figure(answer['limit_mm'])} mm: the tyre is done."
        )
    ),
)
def tread_verdict(mm: list[float], place: str) -> dict[str, str | float]:
    """Return `above-limit` or `worn-out`, the shallowest depth, the limit, what is left, the spread. [mm]"""
    lowest, limit = min(mm), inch32_to_mm(LIMITS_32[place])
    return {
        "verdict": "above-limit" if lowest >= limit else "worn-out",
        "lowest_mm": lowest,
        "limit_mm": limit,
        "left_mm": max(lowest - limit, 0.0),
        "spread_mm": max(mm) - lowest,
    }
