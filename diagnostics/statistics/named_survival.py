"""The comeback curve by name: Kaplan-Meier, competing ends, two curves compared."""

from __future__ import annotations

from typing import Any

from diagnostics.statistics.survival import (
    Curve,
    DayCount,
    aalen_johansen,
    kaplan_meier,
    log_interval,
    loglog_interval,
    logrank,
    plain_interval,
    standard_error,
)
from shared.computing import Given, Refused, computation

Answer = dict[str, Any]
Interval = tuple[float | None, float | None]

LATEST = 1e9
CONFIDENCE = Given("conf", "The confidence (0.95)", above=0, high=0.999999999, optional=True, example=0.95)
TIMES = Given(
    "times", "Time to the event, or to when it was last seen", kind="numbers", low=0, high=LATEST, least=1,
    example=[6, 6, 7, 10],
)  # fmt: skip
AT = Given("at", "The times to read the curve at", kind="numbers", low=0, high=LATEST, least=1, example=[7])


def _days(key: str, meaning: str, example: list[int]) -> Given:
    return Given(key, meaning, kind="numbers", low=0, high=LATEST, example=example)


@computation(
    "stats.kaplan_meier",
    "The share still without the event at given times, with its intervals.",
    TIMES,
    Given(
        "events",
        "1 for an event, 0 for last seen without",
        kind="numbers",
        low=0,
        high=1,
        example=[1, 0, 1, 0],
    ),
    AT,
    CONFIDENCE,
    source="Kaplan and Meier 1958, J. Amer. Statist. Assoc. 53:457; Klein and Moeschberger 2003",
    mark="read",
    formula="S = product of (1 - d/n); Greenwood V = sum of d/(n (n - d)); log-log: S^exp(± z √V / ln S)",
    valid="Leaving must have nothing to do with the event; events come before leaving on one day",
)
def named_kaplan_meier(
    times: list[float], events: list[float], at: list[float], conf: float = 0.95
) -> Answer:
    """Return lists at the times: S, se, plain_low, plain_high, log_low, loglog_low, loglog_high, n_risk, H.

    Before the first event the log-log interval is the exact bound of none in n. Where S is 0 the errors are
    undefined: null.
    """
    _same_length("events", times, events)
    curve = kaplan_meier(
        (DayCount(day, _one(e), 1 - _one(e)) for day, e in zip(times, events, strict=True)), conf
    )
    rows = [_row(curve, day, conf) for day in at]
    return {key: [row[key] for row in rows] for key in rows[0]}


def _row(curve: Curve, day: float, conf: float) -> Answer:
    step = curve.step_at(day)
    at_risk = curve.at_risk(day)
    if step is None:
        bound = 1 - curve.at(day).high
        return _answer(1.0, 0.0, (1.0, 1.0), (1.0, 1.0), (bound, 1.0), at_risk, 0.0)
    if step.survival <= 0.0:
        nothing: Interval = (None, None)
        return _answer(0.0, None, nothing, nothing, nothing, at_risk, step.hazard)
    return _answer(
        step.survival,
        standard_error(step),
        plain_interval(step, conf),
        log_interval(step, conf),
        loglog_interval(step, conf),
        at_risk,
        step.hazard,
    )


def _answer(
    s: float, se: float | None, plain: Interval, log: Interval, loglog: Interval, at_risk: int, hazard: float
) -> Answer:
    return {
        "S": s,
        "se": se,
        "plain_low": plain[0],
        "plain_high": plain[1],
        "log_low": log[0],
        "log_high": log[1],
        "loglog_low": loglog[0],
        "loglog_high": loglog[1],
        "n_risk": at_risk,
        "H": hazard,
    }


@computation(
    "stats.aalen_johansen",
    "The share with one of several ends by given times, where the others compete with it.",
    TIMES,
    Given(
        "causes",
        "0 for last seen, else the number of the end",
        kind="numbers",
        low=0,
        high=99,
        example=[0, 1, 2, 1],
    ),
    Given("cause", "The end asked about", kind="whole", low=1, high=99, example=1),
    AT,
    source="Aalen and Johansen 1978, Scand. J. Statist. 5:141; example of the package lifelines",
    mark="read",
    formula="F = sum of S(u-) d/n, with S from every end",
)
def named_aalen_johansen(times: list[float], causes: list[float], cause: int, at: list[float]) -> Answer:
    """Return lists at the times: cif, event_free, one_minus_km (the others taken for last seen), variance."""
    _same_length("causes", times, causes)
    counts = [_end(day, _whole(end), cause) for day, end in zip(times, causes, strict=True)]
    ends = aalen_johansen(counts)
    curve = kaplan_meier(counts)
    rows = []
    for day in at:
        before = [end for end in ends if end.day <= day]
        last = before[-1] if before else None
        rows.append(
            {
                "cif": last.event if last else 0.0,
                "event_free": last.neither if last else 1.0,
                "one_minus_km": curve.at(day).value,
                "variance": max(0.0, last.variance) if last else 0.0,
            }
        )
    return {key: [row[key] for row in rows] for key in rows[0]}


@computation(
    "stats.logrank",
    "Whether two groups differ in the time to the event.",
    _days("x_events", "Times of events of the first group", [8, 12, 26]),
    _days("x_censored", "Times last seen without, of the first group", [8, 32]),
    _days("y_events", "Times of events of the second group", [33, 28, 41]),
    _days("y_censored", "Times last seen without, of the second group", [48, 25]),
    source="Mantel 1966, Cancer Chemother. Rep. 50:163; Klein and Moeschberger 2003, section 7.3",
    mark="read",
    formula="(observed - expected)^2 / variance, chi-square of 1 degree of freedom",
    cautions=("Weak where the curves cross.",),
)
def named_logrank(
    x_events: list[float], x_censored: list[float], y_events: list[float], y_censored: list[float]
) -> Answer:
    """Return chi2 and p; null with a reason where the groups cannot be compared."""
    found = logrank([(_group(x_events, x_censored), _group(y_events, y_censored))])
    answer: Answer = {
        "chi2": found.chi2,
        "p": found.p,
        "observed": found.observed,
        "expected": found.expected,
    }
    if found.p is None:
        answer["reason"] = "At no event were both groups still watched, so they cannot be compared."
    return answer


def _group(events: list[float], censored: list[float]) -> list[DayCount]:
    return [
        *(DayCount(day, 1) for day in events),
        *(DayCount(day, 0, 1) for day in censored),
    ]


def _end(day: float, end: int, cause: int) -> DayCount:
    return DayCount(day, int(end == cause), int(end == 0), int(end not in (0, cause)))


def _one(event: float) -> int:
    if event not in (0, 1):
        raise Refused("events", f"{event:g} is neither 0 nor 1.", "0 or 1")
    return int(event)


def _whole(end: float) -> int:
    if end != int(end):
        raise Refused("causes", f"{end:g} is no number of an end.", "whole numbers, 0 to 99")
    return int(end)


def _same_length(key: str, times: list[float], others: list[float]) -> None:
    if len(times) != len(others):
        raise Refused(
            key, f"There are {len(times)} times and {len(others)} of these.", f"{len(times)} values"
        )
