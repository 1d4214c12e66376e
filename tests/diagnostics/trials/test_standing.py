import json
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from diagnostics.evidence import trials_for_rate
from diagnostics.snapshot import Phase
from diagnostics.trials import compared, sequential, words
from diagnostics.trials.standing import standing, time_standing
from shared.computing import compute
from tests.diagnostics.evidence.build import an_attempt

KEYS = {
    "shown", "tries", "clean", "recurrences", "confidence", "rate", "rate_low", "rate_high", "trials",
    "trials_fewest", "trials_most", "trials_predictive", "remaining", "remaining_predictive",
    "chance_at_face_value", "chance_if_nothing_fixed", "upper", "words",
}  # fmt: skip
COUNTS = st.integers(0, 60).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n)))


def plain(sentences):
    return [sentence.replace("\u00a0", " ") for sentence in sentences]


# statistics.md section 3.10: 3 in 10 before, nine clean cycles: 0.040 at face value, 0.068 predictive, so
# nine do not reach 95 %. Computed there by two routes.
def test_nine_clean_tries_after_three_in_ten_satisfy_the_rule_but_not_the_prediction():
    found = standing(3, 10, 9)

    assert (found.by_rule, found.remaining) == (9, 0)
    assert (found.at_face_value, found.if_nothing_fixed) == pytest.approx(
        (0.040353607, 0.068111455), abs=1e-9
    )
    assert (found.predictive, found.remaining_predictive) == (11, 2)


def test_the_interval_of_the_rate_is_carried_to_a_range_of_trials():
    found = standing(3, 10)

    # Wilson: 3 of 10 is 10.8 to 60.3 %; ln 0.05 / ln(1 - p) is 26.3 and 3.2.
    assert found.rate == pytest.approx((0.1078, 0.6032), abs=1e-4)
    assert (found.fewest, found.most) == (4, 27)


@given(COUNTS, st.integers(0, 80), st.sampled_from([0.2, 0.1, 0.05, 0.01]))
def test_the_numbers_agree_with_each_other(counts, clean, risk):
    shown, tries = counts
    found = standing(shown, tries, clean, risk=risk)

    assert found.by_rule == trials_for_rate(shown, tries, risk=risk)
    assert found.remaining == max(0, found.by_rule - clean)
    if not shown:
        assert (found.predictive, found.most, found.if_nothing_fixed) == (None, None, None)
        return
    assert found.fewest <= found.by_rule <= found.most
    chance = stats.betabinom(found.predictive, shown + 1, tries - shown + 1).pmf(0)
    assert chance <= risk * (1 + 1e-9)
    if found.predictive > 3:
        assert stats.betabinom(found.predictive - 1, shown + 1, tries - shown + 1).pmf(0) > risk * (1 - 1e-9)


@given(COUNTS, st.integers(0, 80), st.integers(0, 3))
def test_the_words_never_promise(counts, clean, recurrences):
    told = words.sentences(standing(*counts, clean, recurrences=recurrences))

    assert told
    assert not any("probab" in sentence or "proved" in sentence for sentence in told)
    if recurrences:
        assert plain(told)[0].startswith(f"It came back {recurrences} time")
        assert len(told) == 1


def test_the_words_say_the_run_the_bound_the_rule_and_the_uncertainty():
    assert plain(words.sentences(standing(3, 10, 10))) == [
        "10 clean tries so far. If nothing had been fixed, a run this clean would still be seen "
        "about 6 times in 100.",
        "Up to 26 in 100 tries could still show it (95 % confidence).",
        "The rule asks for 9 tries: done.",
        "It showed 3 in 10 tries, which leaves the true rate anywhere from 11 to 60 in 100; "
        "the rule would ask for 4 to 27.",
        "With that counted in, 11 tries: 1 more to do.",
    ]


def test_what_never_showed_cannot_be_proved_gone_by_trying():
    told = " ".join(plain(words.sentences(standing(0, 5, 3))))

    assert "It never showed in 5 tries before the repair" in told
    assert "must carry the proof" in told


@pytest.mark.parametrize(
    ("share", "said"),
    [(1.0, "nearly every time"), (0.068, "7 times in 100"), (0.01, "once in 100 times"),
     (0.004, "less than once in 100 times"), (0.0, "less than once in 100 times")],
)  # fmt: skip
def test_a_share_is_said_in_a_hundred(share, said):
    assert words.in_100(share) == said


@pytest.mark.parametrize("counts", [(-1, 3), (4, 3)])
def test_counts_that_cannot_be_are_refused(counts):
    with pytest.raises(ValueError, match="Count each try once"):
        standing(*counts)


@pytest.mark.parametrize("risk", [0.0, 1.0, -0.1])
def test_a_confidence_that_is_none_is_refused(risk):
    with pytest.raises(ValueError, match="is no confidence"):
        standing(1, 2, risk=risk)
    with pytest.raises(ValueError, match="is no confidence"):
        time_standing(1, 2, risk=risk)


# statistics.md section 3.10: 3 faults in 30 days, then 30 clean: 0.05 at face value, 0.125 honest; one fault
# never below 5 % without 19 times the time.
def test_clean_time_is_weighed_with_the_rate_uncertain():
    found = time_standing(3, 30, 30)

    assert (found.at_face_value, found.if_nothing_fixed) == pytest.approx((0.0498, 0.125), abs=5e-5)
    assert found.needed == pytest.approx(30 * (0.05 ** (-1 / 3) - 1))
    assert time_standing(1, 400).needed == pytest.approx(19 * 400)


@given(st.integers(1, 50), st.floats(1, 1e6), st.floats(0, 1e6))
def test_after_the_time_needed_the_chance_is_that_of_the_risk(faults, over, clean_for):
    needed = time_standing(faults, over, clean_for).needed

    assert time_standing(faults, over, needed).if_nothing_fixed == pytest.approx(0.05, rel=1e-9)
    assert needed >= time_standing(faults, over).needed_at_face_value


# NIST/SEMATECH e-Handbook 8.3.1: zero failures show a mean time of T / ln(1/(1-C)); from memory.
def test_a_clean_time_bounds_the_rate_by_the_zero_failure_rule():
    found = time_standing(2, 10, 300)

    assert found.upper_rate == pytest.approx(stats.chi2.ppf(0.95, 2) / 2 / 300)
    assert found.between_at_least == pytest.approx(300 / 2.995732, rel=1e-6)


def test_one_fault_in_time_is_not_proved_gone_by_waiting():
    told = " ".join(words.time_sentences(time_standing(1, 400, 100), "km"))

    assert "explain it by the cause and the readings" in told
    assert "7,600 km" in told


@pytest.mark.parametrize("counts", [(-1, 1, 0), (1, 0, 0), (1, 1, -1), (1, float("nan"), 0)])
def test_times_that_cannot_be_are_refused(counts):
    with pytest.raises(ValueError, match="Count faults over a time above 0"):
        time_standing(*counts)


def phases(*told):
    return [Phase(condition, present, n) for condition, present, n in told]


def test_a_reversal_of_single_tries_shows_next_to_nothing():
    found = compared.reversal(phases(("in", True, 1), ("out", False, 1), ("in", True, 1)))

    assert found.table == ((2, 0), (0, 1))
    assert found.chance == pytest.approx(1 / 3)
    assert words.compared(found).endswith("too few tries to tell.")


def test_a_reversal_of_three_tries_a_phase_is_hardly_chance():
    found = compared.reversal(phases(("out", False, 3), ("in", True, 3), ("out", False, 3)))

    assert (found.first, found.table) == ("in", ((3, 0), (0, 6)))
    assert found.chance == pytest.approx(stats.fisher_exact([[3, 0], [0, 6]], "greater").pvalue)
    assert "once in 100" in words.compared(found)


@pytest.mark.parametrize(
    "told",
    [
        (),
        (("a", True, 1),),
        (("a", True, 1), ("b", False, 1), ("c", True, 1)),
        (("a", True, 0), ("b", False, 1)),
    ],
)
def test_anything_but_two_conditions_is_no_reversal(told):
    assert compared.reversal(phases(*told)) is None


def test_attempts_with_and_without_equipment_are_compared():
    attempts = [
        an_attempt(k=0, n=5, equipment_connected=True),
        an_attempt(k=2, n=3),
        an_attempt(k=1, n=2),
        an_attempt(k=None, n=7, equipment_connected=True),
    ]

    found = compared.with_equipment(attempts)

    assert found.table == ((0, 5), (3, 2))
    assert found.chance == pytest.approx(stats.fisher_exact([[0, 5], [3, 2]]).pvalue)


@pytest.mark.parametrize(
    ("with_it", "without", "told"),
    [
        ((0, 8), (7, 8), "hide it: try without it."),
        ((7, 8), (0, 8), "bring it about: look at what it connects."),
    ],
)
def test_equipment_that_changes_the_fault_is_said_to(with_it, without, told):
    values = dict(zip(("with_shown", "with_tries"), with_it, strict=True))
    values |= dict(zip(("without_shown", "without_tries"), without, strict=True))

    assert compute("proof.equipment", values)["words"].endswith(told)


def test_too_few_tries_with_equipment_say_nothing_of_it():
    values = {"with_shown": 0, "with_tries": 5, "without_shown": 3, "without_tries": 5}

    assert compute("proof.equipment", values)["words"].endswith("too few tries to tell.")


def test_attempts_of_one_kind_are_not_compared():
    assert compared.with_equipment([an_attempt(k=1, n=2), an_attempt(k=1, n=2)]) is None


def test_a_run_of_clean_tries_is_accepted_when_it_is_long_enough():
    plan = sequential.plan(0.01, 0.3)

    assert [plan.decide(n, 0) for n in (plan.clean_needed - 1, plan.clean_needed)] == ["go on", "accept"]
    assert plan.decide(3, 2) == "reject"


def test_the_command_says_what_the_named_computation_says():
    out = StringIO()
    call_command("trials", "--shown=3", "--tries=10", "--clean=9", "--json", stdout=out)

    answer = json.loads(out.getvalue())
    assert answer.keys() == KEYS
    assert answer == compute("proof.trials", {"shown": 3, "tries": 10, "clean": 9})


def test_the_command_says_it_in_words():
    out = StringIO()
    call_command("trials", "--faults=3", "--over=30", "--clean-for=30", stdout=out)

    assert "about 12 times in 100" in out.getvalue() or "about 13 times in 100" in out.getvalue()


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--shown=3", "--tries=2"], "--shown: It cannot show 3 times in 2 tries"),
        (["--shown=3"], "--tries: Tries before the repair is missing"),
        (["--shown=1", "--tries=2", "--confidence=1.5"], "--confidence: 1.5 is outside the range"),
        (["--faults=1", "--over=0"], "--over: 0.0 is outside the range"),
    ],
)
def test_the_command_refuses_with_the_option_that_is_wrong(words, told):
    with pytest.raises(CommandError, match=told):
        call_command("trials", *words)


@given(COUNTS, st.integers(0, 50), st.floats(0.01, 0.99))
def test_the_named_computation_answers_every_count(counts, clean, confidence):
    shown, tries = counts
    answer = compute(
        "proof.trials", {"shown": shown, "tries": tries, "clean": clean, "confidence": confidence}
    )

    assert answer.keys() == KEYS


def test_a_recurrence_leaves_no_number_to_lean_on():
    answer = compute("proof.trials", {"shown": 3, "tries": 10, "clean": 4, "recurrences": 1})

    assert (answer["remaining"], answer["upper"], answer["chance_if_nothing_fixed"]) == (None, None, None)
