"""Which test next, and why: exact where that ends, look-ahead with a bound elsewhere (fault-isolation.md)."""

from diagnostics.isolation.advice import Advice, Ranked, Split, advise, improve
from diagnostics.isolation.belief import Belief, Done, believe
from diagnostics.isolation.document import load
from diagnostics.isolation.faults import Fault, ProblemError
from diagnostics.isolation.fixed import Route, fixed_order
from diagnostics.isolation.problem import Problem

__all__ = [
    "Advice",
    "Belief",
    "Done",
    "Fault",
    "Problem",
    "ProblemError",
    "Ranked",
    "Route",
    "Split",
    "advise",
    "believe",
    "fixed_order",
    "improve",
    "load",
]
