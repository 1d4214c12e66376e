"""The numbers that the audit goes by, each with where it comes from. A shop may change the first only."""

from __future__ import annotations

FEWEST_TO_COMPARE = 30  # Eligible jobs; practice.md section 8. Location.fewest_to_compare has the shop's own.
FEWEST_FOR_RATE = 10  # Jobs; below it only the counts are said. statistics.md section 3.1.
FEWEST_AT_RISK = 10  # Jobs still watched; the curve is not drawn beyond. statistics.md section 3.2.

SHORT_DAYS = 30  # The span that hospital readmission measures use; practice.md section 9.
LONG_DAYS = 365

# Comparing steps and gaps. statistics.md sections 3.6, 3.7 and 5.
GATE_JOBS = 10  # On either side.
GATE_COMEBACKS = 5  # In total.
MANTEL_FLEISS = 5.0
Q = 0.10
STRATA_DIFFER_P = 0.05

# Funnel. practice.md section 8: exact binomial limits, 95 % and 99.9 %.
FUNNEL_ALPHAS = (0.05, 0.001)
OVERDISPERSED_FROM = 10  # Units; fewer cannot tell spread from chance. Our own choice.
OWN_SHARE_LEFT_OUT = 0.25  # Who does more of the jobs is not compared with themselves. statistics.md 3.8.
FEWEST_OTHERS = 2  # Beside oneself; with one, the comparison would tell their figure. practice.md section 11.
CELL_JOBS = 20.0  # Jobs that the rate of the coarser group is worth in a finer one. Our own choice.

# Running sum. practice.md section 8.
CUSUM_BASE = 0.06
CUSUM_ODDS_RATIO = 2.0
CUSUM_THRESHOLD = 3.0

# Chart by month. statistics.md section 3.9.
CHART_FEWEST_EXPECTED = 5.0  # Comebacks a period; below it quarters, then exact limits.
LANEY_FROM_SIGMA_Z = 1.2
LANEY_FROM_JOBS = 500  # A month. Our own choice.

# Part batch screen. practice.md section 8.
BATCH_FAILED = 3
BATCH_RATIO = 2.0
BATCH_CHI_SQUARE = 4.0
