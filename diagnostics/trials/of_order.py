"""Where the proof of a complaint stands on its order: the counts that the rules count, the numbers beside."""

from __future__ import annotations

from diagnostics.evidence.policy import POLICY, Policy
from diagnostics.evidence.proved import clean_trials, last_recurred
from diagnostics.evidence.terms import Terms
from diagnostics.evidence.trials import shown_in_tries, trials_needed
from diagnostics.snapshot import Complaint, Order
from diagnostics.trials.compared import Compared, with_equipment
from diagnostics.trials.standing import Standing, standing


def standing_of(order: Order, complaint: Complaint, *, policy: Policy = POLICY) -> Standing:
    """Return the standing of one complaint.

    Attempts and trials count as for R19: none dated after hand-over, and trials only under the complaint's
    own conditions after the last recurrence. An imported attempt that shows more often than it was tried
    counts as shown in every try.
    """
    terms = Terms(order, {}, policy=policy)
    attempts = terms.attempts.get(complaint.id, ())
    shown, tries = shown_in_tries(attempts)
    last = last_recurred(terms, complaint)
    tries = max(0, tries)
    return standing(
        min(max(0, shown), tries),
        tries,
        clean_trials(terms, complaint),
        recurrences=last.trial.recurrences if last else 0,
        by_rule=trials_needed(complaint, attempts, policy=policy),
        floor=policy.fewest_trials,
    )


def equipment_of(order: Order, complaint: Complaint) -> Compared | None:
    """Return the attempts of one complaint with and without test equipment; none unless both were counted."""
    return with_equipment(Terms(order, {}).attempts.get(complaint.id, ()))
