"""What the papers say, and how they write a date: the shop's bank of sentences, each under its code."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from shared import wording as shared_wording
from shared.moments import Moment
from shared.wording import NBSP

_MONTHS = (
    *("January", "February", "March", "April", "May", "June", "July", "August"),
    *("September", "October", "November", "December"),
)
_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")

# paperwork.md section 12, by code.
W_0 = "Check your local law. This form helps you keep records; it is not legal advice."
W_5 = (
    "These are the tests we did, on the day and in the conditions stated. Systems not listed were not tested."
)
W_6 = (
    "The fault did not show itself while the vehicle was here. We cannot say it is gone. If it returns, note "
    "the time, weather, speed and any warning light, and call us."
)
W_8 = (
    "We advise against driving until this is repaired, because: {because} You chose not to have it done "
    "today."
)
W_10 = (
    "If the work or a part listed here fails by the date and reading shown, whichever comes first, we put "
    "it right without charge to you for the items marked. You may have further rights under the law of your "
    "place."
)
W_13 = (
    "“Should be” values come from: {origins}. We copied them; if the maker changes them, the newer value "
    "counts."
)
CARE = (
    "Work on a vehicle can injure. It belongs to a qualified person who follows the maker’s procedure and "
    "local rules."
)

CONFIRMED = "Confirmed by test"
MOST_LIKELY = "Most likely, other causes not ruled out"
NOT_FOUND = "Not found"


def day(on: date) -> str:
    """Return "17 October 2026"."""
    return f"{on.day}{NBSP}{_MONTHS[on.month - 1]}{NBSP}{on.year}"


def weekday(on: date) -> str:
    """Return "Sat 17 October 2026"."""
    return f"{_DAYS[on.weekday()]}{NBSP}{day(on)}"


def on_day(moment: Moment) -> str:
    """Return the day of a moment: "17 October 2026"."""
    return day(moment.on)


def part_words(component: str) -> str:
    """Return a component as it stands in a sentence: what follows its comma goes into brackets.

    "secondary lead, cylinder 2" gives "secondary lead (cylinder 2)"; a second comma is left alone.
    """
    name, comma, where = code_words(component).partition(", ")
    return f"{name} ({where})" if comma and where else name


def code_words(code: str) -> str:
    """Return a code such as `charge_cable` in words."""
    return " ".join(code.replace("_", " ").split())


def sentence(text: str) -> str:
    """Return the text with a capital first and a stop last; an empty text stays empty."""
    text = " ".join(text.split())
    if not text:
        return ""
    text = text[:1].upper() + text[1:]
    return text if text.endswith((".", "!", "?", "”", "…")) else f"{text}."


def bare(text: str) -> str:
    """Return a text without its last stop, to go on inside a sentence."""
    return " ".join(text.split()).rstrip(".")


def listed(words: Sequence[str]) -> str:
    """Return "a", "a and b" or "a, b and c"."""
    return shared_wording.and_list(list(words))


def times(count: int) -> str:
    """Return "once", "twice", "3 times" or "0 times"."""
    return {1: "once", 2: "twice"}.get(count, f"{count}{NBSP}times")


def quoted(text: str) -> str:
    """Return somebody's words in quotation marks."""
    return f"“{unquoted(text)}”"


def unquoted(text: str) -> str:
    """Return somebody's words without quotation marks around them; those inside stay."""
    inner = " ".join(text.split())
    if len(inner) > 1 and inner[0] in '“"' and inner[-1] in '”"':
        return inner[1:-1]
    return inner
