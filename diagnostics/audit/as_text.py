"""The answer of the audit as lines to read on a terminal. No Django."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from shared.wording import count_text, interval_text, percent_text

COUNTED = {
    "provisional": "By the verdict",
    "reviewed_low": "As reviewed, undetermined left out",
    "reviewed_high": "As reviewed, undetermined counted",
}
Values = Mapping[str, Any]


def lines(found: Values) -> Iterator[str]:
    """Yield the lines of what `answer` returned."""
    yield f"Jobs handed back{_period(found)}, as known on {found['as_of']}."
    yield f"{count_text(found['jobs'], 'job')}, {found['too_young']} of them too young to count."
    for name, words in COUNTED.items():
        yield f"{words}: {rate_text(found['rate'][name])}"
    yield f"Of these, no fault found: {rate_text(found['no_fault_found'])}"
    yield f"So far, of all handed back (too low while some are young): {rate_text(found['naive'])}"
    for window in found["windows"]:
        days = "the shops' own windows" if window["days"] is None else count_text(window["days"], "day")
        yield f"Within {days}: {rate_text(window)}"
    yield from _curve(found)
    yield from _checks(found)
    for name in ("technicians", "locations"):
        yield from _units(found, name)
    if found["by"]:
        yield f"By {found['by']['field']}:"
        for row in found["by"]["rows"]:
            yield f"  {row['label']}: {rate_text(row)}, {row['flag']}"


def rate_text(rate: Values) -> str:
    """Return "16 of 214, 7.5 % (4.7 to 11.8)"."""
    if not rate["eligible"]:
        return "no finished job"
    share = f"{percent_text(rate['value'])} % ({interval_text(rate['low'], rate['high'])})"
    return f"{rate['events']} of {rate['eligible']}, {share}"


def _period(found: Values) -> str:
    since = f" from {found['from']}" if found["from"] else ""
    until = f" until {found['to']}" if found["to"] else ""
    return since + until


def _curve(found: Values) -> Iterator[str]:
    shown = [point for point in found["curve"] if point["days"] in (30, 60, 90) and point["drawn"]]
    for point in shown:
        share = f"{percent_text(point['value'])} % ({interval_text(point['low'], point['high'])})"
        yield f"Back by day {point['days']}: {share}, {point['at_risk']} still watched"


def _checks(found: Values) -> Iterator[str]:
    listed = [row for row in found["skipped"] if row["answer"] in ("more", "fewer")]
    for row in listed:
        yield (
            f"Step {row['step']} ({row['phase']}): skipped goes with {row['answer']} comebacks, q "
            f"{row['q']:.3f}. An association, not a cause."
        )
    if not listed:
        yield "No skipped step stands out after allowing for the number compared."


def _units(found: Values, name: str) -> Iterator[str]:
    yield f"{name.capitalize()}, by name:"
    for unit in found[name]:
        said = f"  {unit['id']}: {unit['comebacks']} of {unit['eligible']}"
        if unit["adjusted"] is not None:
            said += (
                f", {percent_text(unit['adjusted'])} % ({interval_text(unit['low'], unit['high'])}) adjusted"
            )
        yield f"{said}, {unit['flag']}"
