"""The evidence rules R1 to R26 over one order, its chain and its rings. Pure: values in, values out."""

from diagnostics.evidence.chain import ChainStatus, chain_status, chain_statuses
from diagnostics.evidence.evaluate import evaluate, examine, settled
from diagnostics.evidence.finding import Finding, Signature
from diagnostics.evidence.measured import is_left_out
from diagnostics.evidence.policy import POLICY, Policy
from diagnostics.evidence.rings import RINGS, Ring, rings
from diagnostics.evidence.rules import LINKS, RULES, Rule
from diagnostics.evidence.trials import (
    has_valid_plan,
    shown_in_tries,
    trials_for_rate,
    trials_needed,
    zero_recurrence_upper,
)

__all__ = [
    "LINKS",
    "POLICY",
    "RINGS",
    "RULES",
    "ChainStatus",
    "Finding",
    "Policy",
    "Ring",
    "Rule",
    "Signature",
    "chain_status",
    "chain_statuses",
    "evaluate",
    "examine",
    "has_valid_plan",
    "is_left_out",
    "rings",
    "settled",
    "shown_in_tries",
    "trials_for_rate",
    "trials_needed",
    "zero_recurrence_upper",
]
