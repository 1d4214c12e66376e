"""What to ask a customer on the phone, in plain words. Pure."""

from __future__ import annotations

from datetime import date

from shared.wording import count_text

NOT_PROVED = {
    "attempt": "the complaint was never seen in the shop before the repair",
    "failing reading": "no failing reading pointed at the part",
    "cause": "the cause was not isolated",
    "work": "the work was not checked as asked for",
    "re-read": "the deciding reading was not taken again after the repair",
    "trials": "it was not tried often enough after the repair",
}
"""Why a repair counts as not proved, by the link at which its chain is open."""


def ask_unproved(words: str, returned_on: date) -> str:
    """Return the question about a repair that was not proved; `words` are the customer's own."""
    return (
        f"You told us: “{words}” Has it happened again since {_day(returned_on)}? How often have you driven "
        "or started it since, and in what weather?"
    )


def ask_trials(words: str, trials: int, conditions: str) -> str:
    """Return the question about trials that were left to the customer."""
    wanted = count_text(trials, "try", "tries")
    under = f" ({conditions})" if conditions else ""
    return f"You told us: “{words}” We agreed on {wanted}{under}. How many so far, and did it happen?"


def ask_declined(component: str, returned_on: date) -> str:
    """Return the question about a safety item that was declined."""
    return (
        f"{component[:1].upper()}{component[1:]}: left as it was on {_day(returned_on)}. Has it been done "
        "since, and where? If not, say again what may happen, and offer a day."
    )


def not_proved(link: str) -> str:
    """Return why a repair counts as not proved, for the link at which its chain is open."""
    return NOT_PROVED.get(link, NOT_PROVED["trials"])


def _day(day: date) -> str:
    return f"{day.day} {day:%B}"
