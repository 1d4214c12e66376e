"""The proof of an intermittent fault by name: `proof.*`, the same numbers as on the page of a job."""

from __future__ import annotations

from typing import Any

from diagnostics.snapshot import Phase
from diagnostics.statistics.fisher import fisher
from diagnostics.trials import compared, sequential, words
from diagnostics.trials.standing import Standing, standing, time_standing
from shared.computing import Given, Refused, computation

MOST_TRIES = 100_000
SHOWN = Given("shown", "Times it showed before the repair", kind="whole", low=0, high=MOST_TRIES, example=3)
TRIES = Given("tries", "Tries before the repair", kind="whole", low=0, high=MOST_TRIES, example=10)
CONFIDENCE = Given("confidence", "Confidence (0.95)", above=0, high=0.999999, optional=True, example=0.95)
_SHARE: dict[str, Any] = {"above": 0, "high": 0.999999}


@computation(
    "proof.trials",
    "How many clean tries prove an intermittent fault gone, and what those done so far show.",
    SHOWN,
    TRIES,
    Given(
        "clean",
        "Clean tries since the repair",
        kind="whole",
        low=0,
        high=MOST_TRIES,
        optional=True,
        example=9,
    ),
    Given("recurrences", "Times it came back since", kind="whole", low=0, high=MOST_TRIES, optional=True),
    CONFIDENCE,
    source="practice.md section 8; Hanley and Lippman-Hand 1983, JAMA 249:1743; beta-binomial",
    mark="from memory",
    formula="rule: ln(1-C) / ln(1-k/n); predictive: B(k+1, n-k+1+t) / B(k+1, n-k+1) at most 1-C",
    valid="Tries under the complaint's own conditions, each as good as the other",
    group="Proof",
)
def trials(
    shown: int, tries: int, clean: int = 0, recurrences: int = 0, confidence: float = 0.95
) -> dict[str, Any]:
    """Return the numbers of the proof and the sentences of the page."""
    if shown > tries:
        raise Refused("shown", f"It cannot show {shown} times in {tries} tries.", f"0 to {tries}")
    return numbers(standing(shown, tries, clean, recurrences=recurrences, risk=_risk(confidence)))


def numbers(found: Standing) -> dict[str, Any]:
    """Return a standing under the keys of `proof.trials`."""
    came_back = bool(found.recurrences)
    return {
        "shown": found.shown,
        "tries": found.tries,
        "clean": found.clean,
        "recurrences": found.recurrences,
        "confidence": round(found.confidence, 12),
        "rate": found.shown / found.tries if found.tries else None,
        "rate_low": found.rate[0] if found.rate else None,
        "rate_high": found.rate[1] if found.rate else None,
        "trials": found.by_rule,
        "trials_fewest": found.fewest,
        "trials_most": found.most,
        "trials_predictive": found.predictive,
        "remaining": None if came_back else found.remaining,
        "remaining_predictive": None if came_back else found.remaining_predictive,
        "chance_at_face_value": None if came_back else found.at_face_value,
        "chance_if_nothing_fixed": None if came_back else found.if_nothing_fixed,
        "upper": None if came_back else found.upper,
        "words": words.sentences(found),
    }


@computation(
    "proof.time",
    "How much clean time or distance proves a fault gone that was counted over time or distance.",
    Given("faults", "Faults before the repair", kind="whole", low=0, high=MOST_TRIES, example=3),
    Given("over", "Over so much time or distance", above=0, high=1e12, example=30),
    Given(
        "clean_for",
        "Without a fault since the repair, same unit",
        low=0,
        high=1e12,
        optional=True,
        example=30,
    ),
    Given(
        "unit", "The unit, for the words", kind="choice", choices=("h", "days", "km", "mi"), example="days"
    ),
    CONFIDENCE,
    source="statistics.md section 3.10; zero-failure bound of the exponential distribution",
    mark="from memory",
    formula="bound: ln(1/(1-C)) / t; face value: exp(-r t/t0); uncertain rate: (t0/(t0+t))^r",
    valid="A rate that does not change with time, counted over the whole time since it was first noticed",
    group="Proof",
)
def time(
    faults: int, over: float, unit: str, clean_for: float = 0.0, confidence: float = 0.95
) -> dict[str, Any]:
    """Return the numbers in the unit given, and sentences."""
    found = time_standing(faults, over, clean_for, risk=_risk(confidence))
    return {
        "needed": found.needed,
        "needed_at_face_value": found.needed_at_face_value,
        "remaining": found.remaining,
        "chance_at_face_value": found.at_face_value,
        "chance_if_nothing_fixed": found.if_nothing_fixed,
        "upper_rate": found.upper_rate,
        "between_at_least": found.between_at_least,
        "words": words.time_sentences(found, unit),
    }


@computation(
    "proof.reversal",
    "The chance of a reversal (A-B-A) if the condition made no difference.",
    Given(
        "phases",
        "Phases in the order tried",
        kind="list",
        least=2,
        example=[
            {"condition": "plugged in", "present": True, "n": 3},
            {"condition": "unplugged", "present": False, "n": 3},
            {"condition": "plugged in", "present": True, "n": 3},
        ],
    ),
    source="Fisher 1935, The Design of Experiments",
    mark="from memory",
    formula="Fisher's exact test, one-sided, of the tries by condition",
    valid="Tries that do not hang together; the order of the phases adds to the proof and is not counted",
)
def reversal(phases: list[Any]) -> dict[str, Any]:
    """Return the table, the chance and a sentence."""
    found = compared.reversal([_phase(entry) for entry in phases])
    if found is None:
        raise Refused("phases", "A reversal has exactly two conditions.", "phases of two conditions in turn")
    return {"table": found.table, "chance": found.chance, "words": words.compared(found)}


@computation(
    "proof.equipment",
    "Whether connecting test equipment changes how often a fault shows.",
    Given(
        "with_shown",
        "Times it showed with equipment connected",
        kind="whole",
        low=0,
        high=MOST_TRIES,
        example=0,
    ),
    Given("with_tries", "Tries with equipment connected", kind="whole", low=1, high=MOST_TRIES, example=5),
    Given("without_shown", "Times it showed without", kind="whole", low=0, high=MOST_TRIES, example=3),
    Given("without_tries", "Tries without", kind="whole", low=1, high=MOST_TRIES, example=5),
    source="Fisher 1935, The Design of Experiments",
    mark="from memory",
    formula="Fisher's exact test, two-sided",
    group="Proof",
)
def equipment(with_shown: int, with_tries: int, without_shown: int, without_tries: int) -> dict[str, Any]:
    """Return the chance of such a difference if equipment made none, and a sentence."""
    for key, shown, tries in (
        ("with_shown", with_shown, with_tries),
        ("without_shown", without_shown, without_tries),
    ):
        if shown > tries:
            raise Refused(key, f"It cannot show {shown} times in {tries} tries.", f"0 to {tries}")
    table = (with_shown, with_tries - with_shown), (without_shown, without_tries - without_shown)
    found = compared.Compared(
        "with test equipment", with_shown, with_tries, "without", without_shown, without_tries, fisher(table)
    )
    return {"chance": found.chance, "words": words.equipment(found)}


@computation(
    "proof.sequential",
    "Whether trials may stop: enough clean ones, too many faults, or go on.",
    Given("before", "Rate of the fault before the repair", example=0.3, **_SHARE),
    Given("accepted", "Rate that would be accepted after it", example=0.01, **_SHARE),
    Given("tries", "Tries since the repair", kind="whole", low=0, high=MOST_TRIES, example=9),
    Given(
        "recurrences",
        "Times it came back since",
        kind="whole",
        low=0,
        high=MOST_TRIES,
        optional=True,
        example=0,
    ),
    Given("alpha", "Risk of refusing a good repair (0.05)", optional=True, example=0.05, **_SHARE),
    Given("beta", "Risk of accepting a bad one (0.05)", optional=True, example=0.05, **_SHARE),
    source="Wald 1947, Sequential Analysis; NIST/SEMATECH e-Handbook section 6.2.6",
    mark="from memory",
    valid="The rates must be known; for one vehicle the first recurrence ends the matter",
)
def stop(
    before: float,
    accepted: float,
    tries: int,
    recurrences: int = 0,
    alpha: float = 0.05,
    beta: float = 0.05,
) -> dict[str, Any]:
    """Return decision (accept, reject, go on) and clean_needed, the clean run that is enough."""
    if accepted >= before:
        raise Refused(
            "accepted", f"{accepted:g} must be below the rate before.", f"above 0, below {before:g}"
        )
    if recurrences > tries:
        raise Refused(
            "recurrences", f"It cannot come back {recurrences} times in {tries} tries.", f"0 to {tries}"
        )
    if alpha + beta >= 1:
        raise Refused("beta", "Both risks together must stay below 1.", f"below {1 - alpha:g}")
    plan = sequential.plan(accepted, before, alpha, beta)
    return {"decision": plan.decide(tries, recurrences), "clean_needed": plan.clean_needed}


def _phase(entry: Any) -> Phase:
    allowed = '{"condition": text, "present": true or false, "n": 1 or more}'
    if not isinstance(entry, dict):
        raise Refused("phases", "A phase must be an object.", allowed)
    condition, present, n = entry.get("condition"), entry.get("present"), entry.get("n", 1)
    is_count = isinstance(n, int) and not isinstance(n, bool) and 1 <= n <= MOST_TRIES
    if not (isinstance(condition, str) and condition.strip() and isinstance(present, bool) and is_count):
        raise Refused(
            "phases", "A phase names its condition, whether it showed, and how many tries.", allowed
        )
    return Phase(condition, present, n)


def _risk(confidence: float) -> float:
    # 1 - 0.95 as a float is not 0.05; the digits as written are.
    return float(round(1 - confidence, 12))
