"""Invented shops with a known truth. Every array has the shape (shops, jobs).

A job has a system and a difficulty. Hard jobs come back more often, and on hard jobs steps are skipped more
often: so a crude comparison blames every step. Jobs are handed back evenly over two years up to the day of
the count, so the last ones have had little time. Vehicles leave for good at a steady rate; one that has left
cannot come back. Technicians are all equally good, but the best known of them get the hard jobs.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

WINDOW = 90
HISTORY = 720  # Days of hand-overs.
GONE_A_DAY = 0.0004
SYSTEM_SHARE = np.array([0.3, 0.25, 0.2, 0.15, 0.1])
SYSTEM_RISK = np.array([0.8, 0.9, 1.0, 1.2, 1.5])
HARD_SHARE = np.array([0.5, 0.3, 0.2])
HARD_RISK = np.array([0.03, 0.06, 0.12])
HARD_SKIPS = np.array([0.15, 0.35, 0.6])
WHO_GETS = np.array([  # Of each difficulty, the share of each technician.
    [0.05, 0.1, 0.2, 0.2, 0.25, 0.2],
    [0.2, 0.2, 0.2, 0.2, 0.1, 0.1],
    [0.5, 0.2, 0.15, 0.1, 0.05, 0.0],
])  # fmt: skip
EARLY = 1.6  # Above 1: more come back in the first weeks than in the last.


@dataclass(frozen=True)
class Shops:
    """Jobs of many shops, and what is true of all of them.

    day : handed back, in days before the count. back : days to the return, WINDOW + 1 where there is none.
    gone : days to the vehicle's leaving. skipped : whether the step was. stratum : system x difficulty.
    technician : who did it, from 0 on.
    """

    day: np.ndarray
    back: np.ndarray
    gone: np.ndarray
    skipped: np.ndarray
    stratum: np.ndarray
    technician: np.ndarray
    risk_ratio: float
    rate: float
    curve_at_window: float

    @property
    def ripe(self) -> np.ndarray:
        """Jobs whose window has fully run."""
        return self.day > WINDOW

    @property
    def came_back(self) -> np.ndarray:
        """Returns that are known on the day of the count."""
        return (self.back <= WINDOW) & (self.back <= self.gone) & (self.back <= self.day)


def simulate(seed: int, shops: int, jobs: int, *, risk_ratio: float = 2.0) -> Shops:
    """Return `shops` shops with `jobs` jobs each; skipping the step multiplies the risk by `risk_ratio`."""
    chance = np.random.default_rng(seed)
    size = (shops, jobs)
    system = chance.choice(len(SYSTEM_SHARE), size=size, p=SYSTEM_SHARE)
    hard = chance.choice(len(HARD_SHARE), size=size, p=HARD_SHARE)
    skipped = chance.random(size) < HARD_SKIPS[hard]
    risk = SYSTEM_RISK[system] * HARD_RISK[hard] * np.where(skipped, risk_ratio, 1.0)
    when = _days_to_return(chance.random(size))
    return Shops(
        day=chance.integers(0, HISTORY + 1, size=size),
        back=np.where(chance.random(size) < risk, when, WINDOW + 1),
        gone=np.floor(chance.exponential(1 / GONE_A_DAY, size=size)).astype(int),
        skipped=skipped,
        stratum=system * len(HARD_SHARE) + hard,
        technician=(chance.random(size)[..., None] >= WHO_GETS.cumsum(axis=1)[hard, :-1]).sum(axis=-1),
        risk_ratio=risk_ratio,
        **_truth(risk_ratio),
    )


def _days_to_return(share: np.ndarray) -> np.ndarray:
    return np.floor((WINDOW + 1) * share**EARLY).astype(int)


def _truth(risk_ratio: float) -> dict[str, float]:
    """Return the rate and the end of the curve that endless jobs would show."""
    skips = HARD_SKIPS * risk_ratio + 1 - HARD_SKIPS
    risk = float((SYSTEM_SHARE @ SYSTEM_RISK) * (HARD_SHARE * HARD_RISK) @ skips)
    days = _days_to_return((np.arange(200_000) + 0.5) / 200_000)
    # A vehicle is gone before day t, in whole days, with the chance 1 - exp(-rate t).
    still_there = float(np.exp(-GONE_A_DAY * days).mean())
    return {"rate": risk * still_there, "curve_at_window": risk}
