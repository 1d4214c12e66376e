"""The words of a return review. No person is named in any of them."""

from __future__ import annotations

EXCLUSION_WORDS = {
    "X1": "work the customer had declined",
    "X2": "a return that was planned",
    "X3": "damage from outside",
    "X4": "work done elsewhere",
}
LEVEL_WORDS = {
    "S": "same complaint",
    "W": "same work",
    "Y": "same system",
    "P": "possibly related",
    "N": "unrelated",
}
VERDICT_WORDS = {
    "comeback": "comeback",
    "needs_review": "a person decides",
    "excluded": "excluded",
    "not_candidate": "not a candidate",
}
CLAIMED = "exclusion_without_evidence:"


def exclusion_text(exclusion: str, reason: str) -> str:
    """Return what is said of exclusions: on file, claimed only, or none."""
    if exclusion:
        return f"{exclusion}, {EXCLUSION_WORDS[exclusion]}: on file"
    if reason.startswith(CLAIMED):
        claimed = reason.removeprefix(CLAIMED)
        return f"{claimed}, {EXCLUSION_WORDS[claimed]}: claimed, not on file"
    return "none"
