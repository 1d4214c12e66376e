"""Comebacks: which return belongs to which repair, by what relation, and how often.

Pure computation after practice.md section 9 and the comeback rate of section 8.
"""

from diagnostics.comebacks.carried import Carried, carried
from diagnostics.comebacks.pairs import Pair, as_it_stood, by_vehicle, pairs_by_vehicle, vehicle_pairs
from diagnostics.comebacks.rate import MIN_ORDERS_TO_COMPARE, Rate, Rates, is_mature, rate
from diagnostics.comebacks.window import Window, window_of

__all__ = [
    "MIN_ORDERS_TO_COMPARE",
    "Carried",
    "Pair",
    "Rate",
    "Rates",
    "Window",
    "as_it_stood",
    "by_vehicle",
    "carried",
    "is_mature",
    "pairs_by_vehicle",
    "rate",
    "vehicle_pairs",
    "window_of",
]
