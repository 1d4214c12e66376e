"""Numbers of the audit that are policy, each with where it comes from. A shop may ask for more, never for less.

References
----------
.. [1] practice.md sections 8, 9 and 11.
.. [2] statistics.md sections 3.1, 3.2, 3.5 to 3.9 and 5.
.. [3] D. J. Spiegelhalter, Statistics in Medicine 24 (2005) 1185-1202 (funnel limits). From memory.
.. [4] S. H. Steiner et al., Biostatistics 1 (2000) 441-452 (running sum of a risk). From memory.
"""

from __future__ import annotations

CONFIDENCE = 0.95

# Shares. [2] 3.1: with fewer than ten jobs the counts only.
FEWEST_FOR_RATE = 10
FEWEST_JOBS = 30  # To compare, and to show a person's rate at all. [1] 8 and 11.

# The curve. [2] 3.2.
FEWEST_AT_RISK = 10
CURVE_DAYS = (30, 60, 90)
WINDOWS = (30, 365)  # Beside the shop's own window. [1] 9.
MONTHS_SHOWN = 12

# Limits of chance: both sides together, 95 % and 99.9 %. [1] 8, [3].
FUNNEL_ALPHAS = (0.05, 0.001)
FEWEST_UNITS_TO_WIDEN = 10  # With fewer, one who stands out would widen the limits around himself.

# Job mix. [2] 3.8; how many jobs a coarser cell lends a finer one is a project rule.
LEAVE_OUT_ABOVE = 0.25
CELL_STRENGTH = 20.0
YEAR_BANDS = (3, 6, 10, 15)  # First year of each band after the youngest.
KM_BANDS = (50_000, 100_000, 150_000, 200_000)

# Many comparisons at once, and when there is enough to judge. [2] 3.6, 3.7 and 5.
Q = 0.10
GATE_JOBS = 10  # On each side.
GATE_COMEBACKS = 5
MANTEL_FLEISS = 5.0
STRATA_DIFFER_P = 0.05

# The running sum: base rate, odds to detect, threshold. [1] 8, [4].
CUSUM_BASE = 0.06
CUSUM_RATIO = 2.0
CUSUM_THRESHOLD = 3.0

# Part batches: fewest failed, ratio, chi-square. [1] 8.
BATCH_FAILED = 3
BATCH_RATIO = 2.0
BATCH_CHI_SQUARE = 4.0
