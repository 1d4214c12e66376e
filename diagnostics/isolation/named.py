"""Sums about finding a fault, by name: hub or easy ones, clean looks, which check next."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from shared.computing import Given, Refused, computation

GROUP = "Finding a fault"
MOST_UNITS = 1000
MOST_MINUTES = 10_000.0
LEAST_SEEN = 1e-4  # A look that shows it more seldom is no look.
_SHARE: dict[str, Any] = {"above": 0, "high": 0.999999}


def one_by_one(units: float, each: float) -> float:
    """Return expected minutes of unplugging equal units in turn; the last need not be, it follows.

    Parameters
    ----------
    units : float
        1 or more.
    each : float
        Minutes to unplug one.

    References
    ----------
    fault-isolation.md section 11. Read.
    """
    return each * ((units + 1) / 2 - 1 / units)


def by_hub(units: int, access: float, split: float) -> float:
    """Return expected minutes of halving at a hub: getting in and refitting, then any split at one price.

    References
    ----------
    fault-isolation.md section 11; the number of splits is the Huffman length of equal chances. Read.
    """
    whole = units.bit_length() - 1
    return access + split * (whole + 2 * (units - (1 << whole)) / units)


@computation(
    "isolation.hub_or_easy",
    "Whether to open the hub first or to unplug equal units one by one",
    Given("units", "Units on the hub", kind="whole", low=2, high=MOST_UNITS, example=11),
    Given("unplug", "To unplug one, getting at it included", "min", low=0.1, high=MOST_MINUTES, example=8),
    Given("access", "To get to the hub and to refit", "min", low=0, high=MOST_MINUTES, example=30),
    Given("split", "One split at the hub", "min", low=0.1, high=MOST_MINUTES, example=2),
    answers={"one_by_one": "min", "hub": "min", "pays_above_minutes": "min", "pays_above_units": ""},
    formula="u ((n + 1)/2 − 1/n) against A + s (k + 2 (n − 2^k)/n), k = floor(log2 n)",
    source="fault-isolation.md section 11, worked example 13.5; splits after Huffman 1952",
    mark="computed",
    valid="Units equally likely and equally quick, one fault, any split possible at the hub",
    cautions=("Where units differ, the plan of the map knows more than this sum.",),
    group=GROUP,
    says=lambda answer, given: hub_words(answer),
)
def hub_or_easy(units: int, unplug: float, access: float, split: float) -> dict[str, float | None]:
    """Return expected minutes both ways and the break-even; `pays_above_units` is None out of reach.

    `pays_above_minutes`: the hub pays where one unit takes longer than this. `pays_above_units`: it pays
    where more than so many units remain.
    """
    hub = by_hub(units, access, split)
    return {
        "one_by_one": one_by_one(units, unplug),
        "hub": hub,
        "pays_above_minutes": hub / one_by_one(units, 1),
        "pays_above_units": _most_units_not_paying(unplug, access, split),
    }


def hub_words(answer: Mapping[str, float | None]) -> str:
    """Return the comparison as a technician would say it."""
    easy, hub = answer["one_by_one"] or 0.0, answer["hub"] or 0.0
    first, gap = ("The hub first", easy - hub) if hub < easy else ("The units one by one", hub - easy)
    least, units = answer["pays_above_minutes"] or 0.0, answer["pays_above_units"]
    many = f"if more than {units:g} units remain or " if units is not None else ""
    if gap < 2 or gap < 0.03 * max(easy, hub):
        opening = f"The same for practical purposes ({hub:.0f} and {easy:.0f} min)."
    else:
        opening = (
            f"{first}: about {gap:.0f} min less on average ({hub:.0f} by the hub, {easy:.0f} one by one)."
        )
    return f"{opening} The hub pays {many}if each takes longer than {least:.1f} min."


def _most_units_not_paying(unplug: float, access: float, split: float) -> int | None:
    """The number of units above which the hub always pays."""
    for units in range(MOST_UNITS, 1, -1):
        if by_hub(units, access, split) >= one_by_one(units, unplug):
            return units if units < MOST_UNITS else None
    return 1


@computation(
    "isolation.clean_looks",
    "What is left of a suspicion after clean looks, and how many are needed",
    Given("prior", "Chance before the first look, of 1", example=0.5, **_SHARE),
    Given("sensitivity", "Chance that one look shows it, of 1", low=LEAST_SEEN, high=0.999999, example=0.3),
    Given("looks", "Clean looks so far", kind="whole", low=0, high=100_000, example=5),
    Given("target", "Enough when the chance is below (0.05)", optional=True, example=0.05, **_SHARE),
    answers={"left": "", "looks_needed": ""},
    formula="left = p (1 − s)^n / (p (1 − s)^n + 1 − p)",
    source="fault-isolation.md section 9; Bayes's rule",
    mark="computed",
    valid="Looks under changed time, temperature or movement; the same look taken twice is one look",
    cautions=("An intermittent fault acts for an hour, then not for a week: looks of one day tell less.",),
    group=GROUP,
    says=lambda answer, given: looks_words(answer, given),
)
def clean_looks(prior: float, sensitivity: float, looks: int, target: float = 0.05) -> dict[str, float]:
    """Return the chance that is left, 0 to 1, and the clean looks after which it is below the target."""
    return {
        "left": left_after(prior, sensitivity, looks),
        "looks_needed": looks_needed(prior, sensitivity, target),
    }


def looks_needed(prior: float, sensitivity: float, target: float) -> int:
    """Return the fewest clean looks after which the chance is below `target`; all three between 0 and 1.

    The estimate by logarithms may be one off where the chance falls on the target, so it is looked at again.
    """
    odds = target * (1 - prior) / (prior * (1 - target))
    looks = max(0, math.floor(math.log(odds) / math.log1p(-sensitivity)) - 1)
    while left_after(prior, sensitivity, looks) >= target:
        looks += 1
    return looks


def left_after(prior: float, sensitivity: float, looks: int) -> float:
    """Return the chance that is left after clean looks (fault-isolation.md section 9, Bayes's rule)."""
    stays = prior * (1 - sensitivity) ** looks
    return stays / (stays + 1 - prior)


def looks_words(answer: Mapping[str, float], given: Mapping[str, Any]) -> str:
    """Return what the looks have shown, as a technician would say it."""
    left, needed, looks = answer["left"], int(answer["looks_needed"]), int(given["looks"])
    target = given.get("target") or 0.05
    chance = f"{left * 100:.0f}" if left >= 0.005 else "under 1"
    more = f"{needed - looks} more to get below" if needed > looks else "enough to be below"
    done = "1 clean look" if looks == 1 else f"{looks} clean looks"
    return f"After {done} {chance} in 100 are left: {more} {target * 100:g} in 100."


@computation(
    "isolation.next_by_ratio",
    "In which order to check single suspects: chance over minutes",
    Given("chances", "Chance of each suspect, of 1", kind="numbers", low=0, high=1, least=1,
          example=[0.5, 0.2, 0.2, 0.1]),
    Given("minutes", "Minutes to check each", "min", kind="numbers", low=0.1, high=MOST_MINUTES, least=1,
          example=[30, 5, 10, 2]),
    Given("repair", "Minutes to put each right", "min", kind="numbers", low=0, high=MOST_MINUTES,
          optional=True, example=[20, 20, 20, 20]),
    answers={"order": "", "expected": "min", "as_listed": "min"},
    formula="ECR = Σ [(1 − Σ of earlier p) c + p r], least in descending p/c",
    source="Heckerman, Breese and Rommelse 1995, CACM 38:49; fault-isolation.md section 13.8",
    mark="from memory",
    valid="One fault, each check examines one suspect, no shared access",
    group=GROUP,
    says=lambda answer, given: ratio_words(answer),
)  # fmt: skip
def next_by_ratio(
    chances: Sequence[float], minutes: Sequence[float], repair: Sequence[float] | None = None
) -> dict[str, Any]:
    """Return the order (1 is the first listed), expected minutes in it and as listed."""
    given_repair = list(repair) if repair is not None else [0.0] * len(chances)
    for key, values in (("minutes", minutes), ("repair", given_repair)):
        if len(values) != len(chances):
            raise Refused(key, f"{len(chances)} chances need as many values here.", f"{len(chances)} numbers")
    if math.fsum(chances) > 1 + 1e-9:
        raise Refused("chances", "The chances add up to more than 1.", "chances of one fault, 1 in all")
    listed = list(range(len(chances)))
    order = sorted(listed, key=lambda i: (-chances[i] / minutes[i], i))
    return {
        "order": [place + 1 for place in order],
        "expected": cost_of_repair(order, chances, minutes, given_repair),
        "as_listed": cost_of_repair(listed, chances, minutes, given_repair),
    }


def cost_of_repair(
    order: Sequence[int], chances: Sequence[float], minutes: Sequence[float], repair: Sequence[float]
) -> float:
    """Return the expected minutes of checking in this order until it is found and put right.

    Each check is paid unless the fault was found earlier (fault-isolation.md section 13.8, read).
    """
    earlier = expected = 0.0
    for place in order:
        expected += (1 - earlier) * minutes[place] + chances[place] * repair[place]
        earlier += chances[place]
    return expected


def ratio_words(answer: Mapping[str, Any]) -> str:
    """Return the order and what it saves."""
    order = ", ".join(str(place) for place in answer["order"])
    saved = answer["as_listed"] - answer["expected"]
    told = f"{answer['expected']:.1f} min on average, {saved:.1f} less than as listed"
    return f"Check in the order {order}: {told}."
