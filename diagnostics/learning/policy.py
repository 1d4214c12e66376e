"""Policy numbers of the learning loop, each with where it comes from."""

from __future__ import annotations

BAD_SPELL_MONTHS = 3
"""How many months make a spell. practice.md section 8: a bad quarter."""
BAD_SPELL_FEWEST = 30
"""Fewer jobs in the year before say nothing of a usual rate. practice.md section 8: fewest to compare."""
BAD_SPELL_ALPHA = 0.05
"""A spell is bad above the upper 95 % limit of the year's rate. practice.md section 8: funnel limits."""

CURVES_FEWEST_EVENTS = 10
"""Curves are compared from so many returns on each side on. Policy: about 10 events a coefficient."""

SEPARATES_NOTHING_FROM = 30
"""A step is proposed for removal when it was done at least so often, always with the same outcome.
statistics.md section 5: none of 30 still leaves up to about 10 in 100."""
SEPARATED_FROM = 3
"""A test is proposed for a protocol when it proved the cause in so many jobs of the symptom. Policy."""
PROPOSALS_LOOK_BACK_DAYS = 3 * 365
MOST_PROPOSALS = 12
"""More than a person changes in a quarter. Policy of this product."""
