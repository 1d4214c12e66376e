"""Which of the shop's instruments a technician reaches for."""

from __future__ import annotations

import random

from diagnostics.catalogue import TestKind

BY_CODE = {
    "battery_load_voltage": "battery tester 1",
    "brake_fluid_boiling": "boiling tester 1",
    "brake_side_difference": "roller bench 1",
    "camber": "alignment rig 1",
    "compression_share": "compression gauge 1",
    "cooling_cap_pressure": "pressure tester 1",
    "cooling_pressure_hold": "pressure tester 1",
    "cylinder_leakage": "compression gauge 1",
    "disc_runout": "dial gauge 1",
    "disc_thickness": "micrometer 1",
    "disc_thickness_variation": "micrometer 1",
    "ball_joint_play": "dial gauge 1",
    "axle_backlash": "dial gauge 1",
    "ac_charge_recovered": "scale 1",
    "ac_high_side": "gauge set 1",
    "ac_static_pressure": "gauge set 1",
    "crankcase_pressure": "vacuum gauge 1",
    "exhaust_back_pressure": "vacuum gauge 1",
    "fuel_delivery": "fuel gauge 1",
    "fuel_pressure": "fuel gauge 1",
    "fuel_pressure_fall": "fuel gauge 1",
    "line_pressure": "oil gauge 1",
    "manifold_vacuum": "vacuum gauge 1",
    "oil_pressure_hot": "oil gauge 1",
    "pedal_travel_used": "rule 1",
    "parking_brake_travel": "rule 1",
    "pedal_hold": "rule 1",
    "oil_consumption": "scale 1",
    "ride_height": "rule 1",
    "servo_vacuum": "vacuum gauge 1",
    "steering_angle_zero": "code reader 1",
    "steering_free_play": "rule 1",
    "tailpipe_co": "gas analyser 1",
    "can_difference_dominant": "recorder 1",
    "lin_high_level": "recorder 1",
    "lin_low_level": "recorder 1",
    "toe_total": "alignment rig 1",
    "tread_depth": "tread gauge 1",
    "tyre_pressure": "tyre gauge 1",
    "wheel_radial_runout": "dial gauge 1",
    "driveline_lash": "angle gauge 1",
}
METERS = ("meter 1", "meter 1", "meter 2", "meter 2", "meter 2", "meter 3")
BY_UNIT = {
    "V": METERS,
    "mV": METERS,
    "ohm": METERS,
    "kohm": METERS,
    "A": ("clamp 1", "clamp 1", "clamp 2"),
    "mA": ("clamp 1",),
    "\N{DEGREE SIGN}C": ("thermometer 1",),
    "mm": ("caliper 1",),
    "ms": ("recorder 1",),
    "Hz": ("recorder 1",),
}
LIVE_DATA = ("code reader 1",)


def tool_for(kind: TestKind, rng: random.Random) -> str:
    """Return the id of the instrument that a reading of this kind is taken with."""
    return BY_CODE.get(kind.code) or rng.choice(BY_UNIT.get(kind.unit, LIVE_DATA))
