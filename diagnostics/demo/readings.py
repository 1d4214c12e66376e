"""Plausible readings for a test kind: inside or outside its limits, or those of an invented maker's book."""

from __future__ import annotations

import random
from decimal import Decimal

from diagnostics.catalogue import TestKind
from diagnostics.demo.exact import Limits, limits

MAKERS_FIGURES: dict[str, tuple[str | None, str | None]] = {
    "ac_charge_recovered": ("95", "105"),
    "ac_high_side": ("1400", "1900"),
    "ac_static_pressure": ("450", "490"),
    "air_flow_reading": ("3.2", "4.6"),
    "alternator_output": ("75", None),
    "axle_backlash": ("0.08", "0.15"),
    "ball_joint_play": (None, "0.8"),
    "boost_error": ("-8", "8"),
    "brake_side_difference": (None, "25"),
    "cam_timing": ("-3.0", "3.0"),
    "camber": ("-1.2", "-0.2"),
    "charging_voltage_loaded": ("13.2", "14.9"),
    "clutch_free_play": ("8", "15"),
    "clutch_release_travel": ("14.0", None),
    "converter_slip": (None, "60"),
    "cooling_cap_pressure": ("110", "140"),
    "crankcase_pressure": (None, "1.5"),
    "disc_thickness": ("22.0", None),
    "door_gap": ("3.0", "5.0"),
    "driveline_lash": (None, "4"),
    "exhaust_back_pressure": (None, "9.0"),
    "fan_switch_on": ("94", "101"),
    "filter_differential_pressure": (None, "6.0"),
    "fuel_delivery": ("75", None),
    "fuel_pressure": ("330", "390"),
    "fuel_pump_current": ("4.0", "7.5"),
    "heater_hose_temperature": ("65", None),
    "injector_balance": ("-5", "5"),
    "lamp_voltage": ("12.8", "14.4"),
    "lead_resistance": ("4.0", "9.0"),
    "line_pressure": ("480", "620"),
    "map_key_on": ("96", "104"),
    "misfire_count": (None, "5"),
    "motor_current": ("3.0", "9.0"),
    "oil_pressure_hot": ("110", None),
    "oxygen_sensor_high": ("0.65", None),
    "parking_brake_travel": ("4", "8"),
    "pedal_correlation": (None, "3"),
    "pedal_hold": (None, "5"),
    "pressure_sensor_reading": ("230", "250"),
    "radiator_spread": ("6", "18"),
    "ride_height": ("372", "392"),
    "servo_vacuum": ("60", None),
    "shift_solenoid_resistance": ("5.0", "7.0"),
    "spark_burn_time": ("1.2", "2.2"),
    "starter_current": ("90", "190"),
    "steering_angle_zero": ("-3.0", "3.0"),
    "steering_assist_supply": ("11.8", None),
    "tailpipe_co": (None, "0.20"),
    "thermostat_opening": ("86", "94"),
    "throttle_correlation": (None, "3"),
    "toe_total": ("0.05", "0.25"),
    "transmission_fluid_temperature": (None, "110"),
    "tyre_pressure": ("230", "250"),
    "valve_clearance": ("0.18", "0.26"),
    "vent_temperature": (None, "10.0"),
    "vibration_frequency": (None, "10"),
    "wheel_radial_runout": (None, "1.0"),
    "wheel_sensor_resistance": ("900", "1500"),
    "window_motor_current": ("3.0", "9.0"),
}
"""Figures as an invented maker's book would give them, where the catalogue has no generic limit."""
UNKNOWN_FIGURES = ("10", "40")
FURTHEST_SPANS_OUT = 2.5
SHARES_BELOW, SHARES_ABOVE = (0.03, 0.35), (0.15, 2.5)
ONE_DECIMAL_BELOW, TWO_DECIMALS_BELOW = 20, 1
COUNTED = "count"


def limits_of(kind: TestKind) -> Limits:
    """Return the generic limits of a kind, or such as a maker's book would give where it has none."""
    if kind.lo is not None or kind.hi is not None:
        return Limits(kind.lo, kind.hi)
    lo, hi = MAKERS_FIGURES.get(kind.code, UNKNOWN_FIGURES)
    return limits(lo, hi)


def within(judged: Limits, rng: random.Random) -> Decimal:
    """Return a reading that its limits pass."""
    lo, hi = judged.lo, judged.hi
    if lo is not None and hi is not None:
        value = rng.triangular(float(lo), float(hi))
    elif lo is not None:
        value = float(lo) + abs(float(lo)) * rng.uniform(0.01, 0.25)
    else:
        assert hi is not None
        value = float(hi) - abs(float(hi)) * rng.uniform(0.1, 0.9)
    return _kept_within(_rounded(value, _decimals(judged)), judged)


def outside(judged: Limits, rng: random.Random) -> Decimal:
    """Return a reading that its limits fail, by two steps of its last digit at least."""
    lo, hi = judged.lo, judged.hi
    step = Decimal(1).scaleb(-_decimals(judged))
    if lo is not None and hi is not None:
        reach = float(hi - lo) * rng.uniform(0.25, FURTHEST_SPANS_OUT)
    elif lo is not None:
        reach = abs(float(lo)) * rng.uniform(*SHARES_BELOW)
    else:
        assert hi is not None
        reach = abs(float(hi)) * rng.uniform(*SHARES_ABOVE)
    below = hi is None or (lo is not None and rng.random() < 0.5)
    if below and lo is not None:
        lowest = Decimal(0) if lo >= 0 else lo * 10
        return min(max(_rounded(float(lo) - reach, _decimals(judged)), lowest), lo - 2 * step)
    assert hi is not None
    return max(_rounded(float(hi) + reach, _decimals(judged)), hi + 2 * step)


def written(value: Decimal, kind: TestKind) -> str:
    """Return a reading as it is typed; what is counted has no decimals."""
    return str(round(value)) if kind.unit == COUNTED else str(value)


def _decimals(judged: Limits) -> int:
    given = [limit for limit in (judged.lo, judged.hi) if limit is not None]
    largest = max(abs(limit) for limit in given)
    fewest = (largest < ONE_DECIMAL_BELOW) + (largest < TWO_DECIMALS_BELOW)
    return max(fewest, *(_places(limit) for limit in given))


def _places(value: Decimal) -> int:
    exponent = value.as_tuple().exponent
    return max(0, -exponent) if isinstance(exponent, int) else 0


def _rounded(value: float, places: int) -> Decimal:
    return Decimal(f"{value:.{places}f}")


def _kept_within(value: Decimal, judged: Limits) -> Decimal:
    if judged.lo is not None:
        value = max(value, judged.lo)
    if judged.hi is not None:
        value = min(value, judged.hi)
    return value
