"""The reasons a technician believes: what a test tells, what it costs, what would change the advice."""

from diagnostics.isolation.wording.chances import cost_in_words, found_by, found_within
from diagnostics.isolation.wording.changes import what_would_change
from diagnostics.isolation.wording.state import State, Way, state
from diagnostics.isolation.wording.stopping import why_stop
from diagnostics.isolation.wording.why import Why, bound_words, cost_of, why

__all__ = [
    "State",
    "Way",
    "Why",
    "bound_words",
    "cost_in_words",
    "cost_of",
    "found_by",
    "found_within",
    "state",
    "what_would_change",
    "why",
    "why_stop",
]
