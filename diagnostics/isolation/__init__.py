<<<<<<< HEAD
"""Which test next, and why: the planner of the search for a fault, on plain arrays.

A document of the form isolation-problem/1 goes in (`load`), with a history of tests done and their
outcomes; out comes what is believed (`believe`), what to do next (`advise`, `improve`), and what a fixed
order would cost (`fixed_order`). Everything is minutes and chances; nothing here knows of vehicles or
records.
"""

from diagnostics.isolation.advice import Advice, Ranked, Split, advise, improve, worth_suspicion
from diagnostics.isolation.belief import Belief, Contradiction, Done, believe
from diagnostics.isolation.document import load
from diagnostics.isolation.fixed_order import Route, fixed_order
from diagnostics.isolation.problem import Fault, Problem, ProblemError
=======
"""Which test next, and why: exact where that ends, look-ahead with a bound elsewhere (fault-isolation.md)."""

from diagnostics.isolation.advice import Advice, Ranked, Split, advise, improve
from diagnostics.isolation.belief import Belief, Done, believe
from diagnostics.isolation.document import load
from diagnostics.isolation.faults import Fault, ProblemError
from diagnostics.isolation.fixed import Route, fixed_order
from diagnostics.isolation.problem import Problem
>>>>>>> iso-oracle-proof

__all__ = [
    "Advice",
    "Belief",
<<<<<<< HEAD
    "Contradiction",
=======
>>>>>>> iso-oracle-proof
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
<<<<<<< HEAD
    "worth_suspicion",
=======
>>>>>>> iso-oracle-proof
]
