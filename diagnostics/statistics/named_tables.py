"""Two groups compared by name: one table, and tables of several strata."""

from __future__ import annotations

from typing import Any

from diagnostics.statistics import fisher as exact
from diagnostics.statistics import ratios, strata
from diagnostics.statistics.asked import (
    MAY_CONFIDENCE,
    TWO_GROUPS,
    check_groups,
    counted,
    two_by_two,
)
from diagnostics.statistics.poisson import compare_rates
from diagnostics.statistics.strata import Stratum
from shared.computing import Given, Refused, computation

Answer = dict[str, Any]

MOST_STRATA = 10_000
TABLE = Given("table", "Two rows of two counts", kind="list", least=2, example=[[3, 1], [1, 3]])
TABLES = Given(
    "tables",
    "For each stratum: showed it and did not, in the first group and in the second",
    kind="list",
    least=1,
    example=[[[6, 81], [36, 234]], [[71, 192], [25, 55]]],
)
NO_UPPER_END = "None of the second group showed it, so the ratio has no upper end."
NO_RATIO = "No stratum can tell: each lacks one of the groups, or the second group never showed it."
NONE_OF_FIRST = "The first group never showed it, so this interval is undefined."
NO_ODDS = "No stratum holds both: some of the first group that did not show it, some of the second that did."
NO_ODDS_OF_FIRST = (
    "No stratum holds both: some of the first group that showed it, of the second that did not."
)
NO_SPREAD = "In no stratum did some show it and others not, in both groups."
NOT_SEVERAL = "Fewer than two strata have an odds ratio, or the common one is 0 or undefined."


@computation(
    "stats.risk_ratio_katz",
    "How many times as often the first group showed it as the second.",
    *TWO_GROUPS,
    MAY_CONFIDENCE,
    source="Katz et al. 1978, Biometrics 34:469",
    mark="from memory",
    formula="exp(ln RR ± z √(1/x1 - 1/n1 + 1/x2 - 1/n2))",
    cautions=("Undefined where a count is 0.",),
)
def risk_ratio_katz(x1: int, n1: int, x2: int, n2: int, conf: float = 0.95) -> Answer:
    """Return rr, low and high; null with a reason where undefined."""
    check_groups(x1, n1, x2, n2)
    found = ratios.katz(x1, n1, x2, n2, conf)
    reason = "A count is 0, so this interval is undefined; stats.risk_ratio_koopman has one."
    return _ratio("rr", found, reason if found.low is None else None)


@computation(
    "stats.risk_ratio_koopman",
    "How many times as often the first group showed it as the second; holds with zeros and small counts.",
    *TWO_GROUPS,
    MAY_CONFIDENCE,
    source="Koopman 1984, Biometrics 40:513",
    mark="from memory",
    formula="the ratios whose score, given the most likely shares with that ratio, is at most z",
)
def risk_ratio_koopman(x1: int, n1: int, x2: int, n2: int, conf: float = 0.95) -> Answer:
    """Return rr, low and high; null with a reason where there is none."""
    check_groups(x1, n1, x2, n2)
    found = ratios.koopman(x1, n1, x2, n2, conf)
    return _ratio("rr", found, NO_UPPER_END if found.high is None else None)


@computation(
    "stats.odds_ratio",
    "The odds of the first row over those of the second.",
    TABLE,
    MAY_CONFIDENCE,
    source="Woolf 1955, Annals of Human Genetics 19:251",
    mark="from memory",
    formula="exp(ln(ad/bc) ± z √(1/a + 1/b + 1/c + 1/d))",
    cautions=("Not 'times as likely': it lies further from 1 than the ratio of shares.",),
)
def odds_ratio(table: list[Any], conf: float = 0.95) -> Answer:
    """Return or, low and high; null with a reason where undefined."""
    (a, b), (c, d) = two_by_two(table)
    found = ratios.odds_ratio(a, b, c, d, conf)
    reason = "A count is 0, so this interval is undefined." if found.low is None else None
    return _ratio("or", found, reason)


@computation(
    "stats.two_rates",
    "Whether two rates differ: events over an exposure, in two groups.",
    counted("count1", "Events in the first group", 60),
    Given("n1", "Exposure of the first group", above=0, high=1e12, example=51477.5),
    counted("count2", "Events in the second group", 30),
    Given("n2", "Exposure of the second group, in the same unit", above=0, high=1e12, example=54308.7),
    Given(
        "method",
        "How it is tested (score)",
        kind="choice",
        choices=("score",),
        optional=True,
        example="score",
    ),
    Given(
        "alternative",
        "Which rates of the first group count against no difference (two-sided)",
        kind="choice",
        choices=("two-sided", "larger", "smaller"),
        optional=True,
        example="larger",
    ),
    source="Gu, Ng, Tang and Schucany 2008, Biometrical Journal 50:283",
    mark="read",
    formula="z = (count1/n1 - count2/n2) / √(pooled rate (1/n1 + 1/n2))",
)
def two_rates(
    count1: int, n1: float, count2: int, n2: float, method: str = "score", alternative: str = "two-sided"
) -> Answer:
    """Return z and p; null with a reason where no event was counted."""
    found = compare_rates(count1, n1, count2, n2, alternative)
    if found is None:
        return {"z": None, "p": None, "reason": "No event was counted in either group."}
    return {"z": found[0], "p": found[1]}


@computation(
    "stats.fisher",
    "Fisher's exact test of a two-by-two table: the chance of such a table if the rows do not differ.",
    TABLE,
    Given(
        "alternative",
        "Which tables count as at least as extreme",
        kind="choice",
        choices=("two-sided", "greater", "less"),
        optional=True,
        example="greater",
    ),
    source="Fisher 1935, The Design of Experiments; Agresti 1990",
    mark="read",
)
def fisher(table: list[Any], alternative: exact.Alternative = "two-sided") -> dict[str, float]:
    """Return p."""
    return {"p": exact.fisher(two_by_two(table), alternative)}


@computation(
    "stats.mantel_haenszel_rr",
    "How many times as often, and by how much more often, compared within strata.",
    TABLES,
    MAY_CONFIDENCE,
    source="Mantel and Haenszel 1959; Greenland and Robins 1985, Biometrics 41:55; Sato 1989",
    mark="from memory",
    formula="RR = Σ(a n0/N) / Σ(c n1/N); RD = Σ((a n0 - c n1)/N) / Σ(n1 n0/N)",
)
def mantel_haenszel_rr(tables: list[Any], conf: float = 0.95) -> Answer:
    """Return rr, low, high, rd, rd_low, rd_high and dropped: jobs in strata that lack one of the groups."""
    given = _strata(tables)
    used = strata.informative(given)
    found = strata.mh_ratio(used, conf)
    apart = strata.mh_difference(used, conf) if used else None
    reason = None
    if found.low is None:
        reason = NO_RATIO if found.value is None else NONE_OF_FIRST
    return {
        **_ratio("rr", found, reason),
        "rd": apart.value if apart else None,
        "rd_low": apart.low if apart else None,
        "rd_high": apart.high if apart else None,
        "dropped": sum(one.n for one in given) - sum(one.n for one in used),
    }


@computation(
    "stats.mantel_haenszel_or",
    "The odds ratio common to strata, its test, and whether one ratio fits them all.",
    TABLES,
    MAY_CONFIDENCE,
    source="Mantel and Haenszel 1959; Robins, Breslow and Greenland 1986, Biometrics 42:311; Tarone 1985",
    mark="from memory",
    formula="OR = Σ(ad/N) / Σ(bc/N); Breslow and Day's test with Tarone's correction, and plain",
)
def mantel_haenszel_or(tables: list[Any], conf: float = 0.95) -> Answer:
    """Return or, low, high; chi2_cc, p_cc; breslow_day, breslow_day_p; breslow_day_plain; mantel_fleiss."""
    used = strata.informative(_strata(tables))
    found, test = strata.mh_odds(used, conf), strata.mh_test(used)
    same = strata.breslow_day(used)
    reasons = {
        "reason": (NO_ODDS if found.value is None else NO_ODDS_OF_FIRST) if found.low is None else None,
        "chi2_reason": NO_SPREAD if test.chi2 is None else None,
        "breslow_day_reason": NOT_SEVERAL if same.chi2 is None else None,
    }
    return {
        **_ratio("or", found, None),
        "chi2_cc": test.chi2,
        "p_cc": test.p,
        "breslow_day": same.chi2,
        "breslow_day_p": same.p,
        "breslow_day_plain": strata.breslow_day(used, corrected=False).chi2,
        "mantel_fleiss": strata.mantel_fleiss(used),
        **{key: words for key, words in reasons.items() if words},
    }


def _ratio(key: str, found: ratios.Ratio, reason: str | None) -> Answer:
    answer = {key: found.value, "low": found.low, "high": found.high}
    return {**answer, "reason": reason} if reason else answer


def _strata(tables: list[Any]) -> list[Stratum]:
    if len(tables) > MOST_STRATA:
        raise Refused("tables", f"{len(tables)} strata are too many.", f"up to {MOST_STRATA}")
    found = []
    for table in tables:
        (a, b), (c, d) = two_by_two(table, "tables")
        found.append(Stratum(a, a + b, c, c + d))
    return found
