"""The reason of a pair as a plain sentence for pages and papers."""

from __future__ import annotations

SENTENCES = {
    "index_not_eligible": "The earlier order is still open, or all its work was declined.",
    "no_symptom_complaint": "The later visit has no complaint about a symptom.",
    "unrelated": "Nothing links the later complaint to the earlier order.",
    "outside_window": "A late return: the window in days or distance had ended.",
    "declined_work": "The customer had been told of this fault and declined the work.",
    "planned_return": "This visit was agreed before the vehicle was handed back.",
    "outside_damage": "The system was damaged between the two visits, and there is evidence of it.",
    "other_work": "Somebody else worked on the system between the two visits, and there is evidence of it.",
    "exclusion_without_evidence:X1": "The fault was declined, but no date says that the customer was told. "
    "A person decides.",
    "exclusion_without_evidence:X2": "The visit is called planned, but no entry made by hand-over "
    "announces it. A person decides.",
    "exclusion_without_evidence:X3": "Outside damage is named without evidence. A person decides.",
    "exclusion_without_evidence:X4": "Other work is named without a document. A person decides.",
    "distance_unknown": "An odometer reading is missing, so the distance is unknown. A person decides.",
    "odometer_conflict": "The later odometer reading is lower than the earlier one. A person decides.",
    "same_complaint": "The same complaint has come back.",
    "same_work": "The cause lies in a component that was worked on or disturbed.",
    "same_system": "Another complaint of the same system. A person decides.",
    "possibly_related": "Someone links the visit to the repair, or the systems are close. A person decides.",
}


def sentence(reason: str, days: int | None) -> str:
    """Return the plain sentence of a `reason` word of practice.md section 9, with the days if known.

    Raises
    ------
    KeyError
        If the word is none of section 9's.
    """
    if days is None:
        return SENTENCES[reason]
    if days < 0:
        return f"{SENTENCES[reason]} The vehicle was booked in before the earlier order was handed back."
    return f"{SENTENCES[reason]} {_after(days)}"


def _after(days: int) -> str:
    if days == 0:
        return "It came back on the day of hand-over."
    return f"It came back after {days} {'day' if days == 1 else 'days'}."
