"""Numbers of the rules that are policy: defaults an owner may change."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class Policy:
    """What counts as near in time and distance, and how few trials are never enough.

    The values are decided for this product (practice.md, marked policy), no outside source.
    A verdict is stored with the `version` it was made under.
    """

    version: str = "1"
    coincidence_minutes: int = 30
    repeat_days: int = 365
    repeat_km: Decimal = Decimal(20_000)
    fewest_trials: int = 3


POLICY = Policy()
