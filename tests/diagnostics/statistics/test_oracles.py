"""Intervals and strata against statsmodels, which shares no code with them."""

import random
import warnings
from types import SimpleNamespace

import pytest

from diagnostics.statistics import proportions
from diagnostics.statistics.many import benjamini_hochberg
from diagnostics.statistics.ratios import koopman
from diagnostics.statistics.strata import Stratum, breslow_day, mh_odds, mh_ratio, mh_test

NUMBERS = (1, 2, 7, 30, 177, 5000, 1_000_000)
CLOSE = {"rel": 1e-9, "abs": 1e-12}


@pytest.fixture(scope="module")
def oracle():
    with warnings.catch_warnings():
        # The library and what it loads warn of their own old parts.
        warnings.simplefilter("ignore")
        from statsmodels.stats import contingency_tables, multitest, proportion
    return SimpleNamespace(
        share=proportion.proportion_confint,
        two=proportion.confint_proportions_2indep,
        score=proportion.score_test_proportions_2indep,
        strata=contingency_tables.StratifiedTable,
        many=multitest.multipletests,
    )


def counts(n):
    return sorted({0, 1, n // 17, n // 2, n - 1, n})


@pytest.mark.parametrize(
    ("name", "method"),
    [("wilson", "wilson"), ("clopper_pearson", "beta"), ("jeffreys", "jeffreys"), ("agresti_coull",) * 2,
     ("wald", "normal")],
)  # fmt: skip
def test_intervals_of_one_share(oracle, name, method):
    for n in NUMBERS:
        for x in counts(n):
            for conf in (0.95, 0.998):
                own = getattr(proportions, name)(x, n, conf)
                other = oracle.share(x, n, alpha=1 - conf, method=method)
                # It draws these two in to 0 and 1, and gives Jeffreys no rule for the ends.
                own = [min(max(end, 0), 1) for end in own] if name in ("wald", "agresti_coull") else list(own)
                if name == "jeffreys":
                    own[0], own[1] = (own[0] if x else other[0]), (own[1] if x < n else other[1])
                assert own == pytest.approx(other, **CLOSE), (x, n, conf)


def groups(seed, many):
    rng = random.Random(seed)
    for _ in range(many):
        n1, n2 = rng.choice(NUMBERS[1:6]), rng.choice(NUMBERS[1:6])
        yield rng.choice(counts(n1)), n1, rng.choice(counts(n2)), n2


def test_differences_of_two_shares(oracle):
    for group in groups(1, 60):
        own = proportions.newcombe(*group)
        assert (own.low, own.high) == pytest.approx(
            oracle.two(*group, method="newcomb", compare="diff"), **CLOSE
        ), group


def test_the_ends_of_the_score_interval_are_where_its_test_says_so(oracle):
    for group in groups(2, 40):
        own = koopman(*group)
        for end in (own.low, own.high):
            if end and not (group[0] == group[1] and group[2] == group[3]):
                with warnings.catch_warnings():
                    warnings.simplefilter("ignore")
                    test = oracle.score(*group, value=end, compare="ratio", correction=False)
                assert test.pvalue == pytest.approx(0.05, rel=1e-6), (group, end)


def test_strata(oracle):
    rng = random.Random(3)
    for _ in range(25):
        strata = []
        for _ in range(rng.randint(2, 6)):
            n1, n0 = rng.randint(4, 400), rng.randint(4, 400)
            strata.append(Stratum(rng.randint(1, n1 - 1), n1, rng.randint(1, n0 - 1), n0))
        other = oracle.strata([[[one.a, one.n1 - one.a], [one.c, one.n0 - one.c]] for one in strata])
        odds, test = mh_odds(strata), mh_test(strata)

        assert mh_ratio(strata).value == pytest.approx(other.riskratio_pooled, **CLOSE)
        assert odds.value == pytest.approx(other.oddsratio_pooled, **CLOSE)
        assert (odds.low, odds.high) == pytest.approx(other.oddsratio_pooled_confint(), **CLOSE)
        null = other.test_null_odds(correction=True)
        assert (test.chi2, test.p) == pytest.approx((null.statistic, null.pvalue), **CLOSE)
        for corrected in (False, True):
            same, even = breslow_day(strata, corrected=corrected), other.test_equal_odds(adjust=corrected)
            assert (same.chi2, same.p) == pytest.approx((even.statistic, even.pvalue), rel=1e-8, abs=1e-10)


def test_many(oracle):
    rng = random.Random(4)
    for _ in range(20):
        p = [rng.choice((0, 1, 0.05, rng.random(), rng.random() ** 4)) for _ in range(rng.randint(1, 25))]
        assert benjamini_hochberg(p) == pytest.approx(oracle.many(p, method="fdr_bh")[1], **CLOSE)
