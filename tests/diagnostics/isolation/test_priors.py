import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.isolation.priors import (
    CATCH_ALL_LEAST,
    GENERAL,
    LEVELS,
    PLATFORM,
    SYMPTOM,
    Jobs,
    from_history,
    with_priors,
)

MAP = {"pump": 0.05, "step": 0.15, "wire": 0.75, "other": 0.05}

weights = st.fixed_dictionaries({name: st.floats(0.001, 10) for name in MAP})
counts = st.fixed_dictionaries({}, optional={name: st.integers(0, 30) for name in MAP})
histories = st.lists(
    st.builds(Jobs, st.sampled_from(LEVELS), counts, st.integers(0, 5)),
    max_size=3,
    unique_by=lambda j: j.level,
)


def priors_of(*history, weights=MAP, **options):
    return from_history(weights, history, catch_all="other", **options)


def words(text):
    return text.replace("\u00a0", " ")


def test_nine_jobs_draw_the_map_as_far_as_its_eight():
    """Worked by hand: (8 x 0.05 + 2) / (8 + 9) = 2.4 / 17."""
    found = priors_of(Jobs(PLATFORM, {"pump": 2, "wire": 7}))["pump"]

    assert found.prior == pytest.approx(2.4 / 17)
    assert (found.own, found.jobs, found.on_the_map) == (2, 9, 0.05)
    assert found.own_weight == pytest.approx(9 / 17)


def test_a_nearer_level_is_drawn_toward_the_level_above():
    """Worked by hand: 8 general jobs make 0.05 into 0.275 / 0.5; 2 on the platform then weigh 2 in 10."""
    found = priors_of(Jobs(GENERAL, {"pump": 4, "wire": 4}), Jobs(PLATFORM, {"pump": 0, "wire": 2}))["pump"]

    general = (8 * 0.05 + 4) / 16
    assert found.prior == pytest.approx(8 * general / 10)


def test_a_job_on_this_platform_counts_for_more_than_one_elsewhere():
    elsewhere = [Jobs(SYMPTOM, {"wire": 6}), Jobs(GENERAL, {"wire": 6})]
    near = priors_of(*elsewhere, Jobs(PLATFORM, {"pump": 1}))["pump"].prior
    far = priors_of(*elsewhere, Jobs(PLATFORM, {"wire": 1}), Jobs(GENERAL, {"pump": 1}))["pump"].prior

    assert near > far


def test_a_cause_off_the_map_speaks_for_the_catch_all():
    assert priors_of(Jobs(SYMPTOM, {}, elsewhere=2))["other"].prior == pytest.approx((8 * 0.05 + 2) / 10)


@given(weights)
def test_an_empty_history_leaves_the_weights_untouched(weights):
    whole = math.fsum(weights.values())

    found = priors_of(Jobs(PLATFORM), weights=weights)

    assert {name: prior.prior for name, prior in found.items()} == {
        name: weight / whole for name, weight in weights.items()
    }
    assert {prior.own_weight for prior in found.values()} == {0.0}


@given(weights, histories)
def test_priors_sum_to_one_and_the_catch_all_keeps_its_floor(weights, history):
    found = priors_of(*history, weights=weights)

    assert math.fsum(prior.prior for prior in found.values()) == pytest.approx(1, abs=1e-12)
    if any(jobs.number for jobs in history):
        assert found["other"].prior >= CATCH_ALL_LEAST * (1 - 1e-12)


@given(weights, histories, st.sampled_from(["pump", "step", "wire"]))
def test_one_more_job_with_a_cause_never_lowers_its_prior(weights, history, name):
    some = [*history, Jobs(PLATFORM, {"step": 1})]  # Without any job the floor of the catch-all is not held.

    fewer = priors_of(*some, weights=weights)[name].prior
    more = priors_of(*some, Jobs(PLATFORM, {name: 1}), weights=weights)[name].prior

    assert more >= fewer * (1 - 1e-12)


@given(weights)
def test_many_jobs_are_believed(weights):
    found = priors_of(Jobs(PLATFORM, {"pump": 6000, "wire": 3000}, elsewhere=1000), weights=weights)

    assert found["pump"].prior == pytest.approx(0.6, abs=0.01)
    assert found["wire"].prior == pytest.approx(0.3, abs=0.01)


@given(histories, st.randoms())
def test_the_order_in_which_the_levels_are_given_does_not_matter(history, random):
    mixed = list(history)
    random.shuffle(mixed)

    assert priors_of(*mixed) == priors_of(*history)


def test_the_words_say_what_the_history_has_done():
    found = priors_of(Jobs(PLATFORM, {"pump": 2, "wire": 7}))

    assert words(found["pump"].shown) == (
        "2 of 9 earlier jobs with this symptom on this platform: 5 in 100 becomes 14 in 100"
    )
    assert words(priors_of(Jobs(GENERAL, {"pump": 1}))["pump"].shown) == (
        "1 of 1 earlier job of other kinds: 5 in 100 becomes 16 in 100"
    )
    assert priors_of()["pump"].shown == "no earlier jobs, weight of the map"


@pytest.mark.parametrize(
    ("history", "options", "told"),
    [
        (Jobs(PLATFORM, {"lamp": 1}), {}, "lamp has earlier jobs but is none of the candidates"),
        (Jobs(PLATFORM, {"pump": -1}), {}, "pump has -1 earlier jobs"),
        (Jobs("town", {"pump": 1}), {}, "There is no level 'town'"),
        (Jobs(PLATFORM), {"strength": 0}, "It must be above 0"),
        (Jobs(PLATFORM), {"weights": {"pump": 1.0}}, "The catch-all other is none of the candidates"),
        (Jobs(PLATFORM), {"weights": {"pump": 0.0, "other": 0.0}}, "All weights are 0"),
        (Jobs(PLATFORM), {"weights": {"pump": -1.0, "other": 1.0}}, "The weight of pump is -1"),
    ],
)
def test_what_cannot_be_used_is_refused_in_words(history, options, told):
    with pytest.raises(ValueError, match=told):
        priors_of(history, **options)


def test_a_document_takes_the_priors_and_says_where_they_come_from():
    document = {"candidates": [{"id": name, "prior": 0.25} for name in MAP], "provenance": {"seed": 1}}

    changed = with_priors(document, priors_of(Jobs(PLATFORM, {"pump": 2, "wire": 7})))

    assert changed["candidates"][0] == {"id": "pump", "prior": pytest.approx(2.4 / 17)}
    assert changed["provenance"] == {"seed": 1, "priors_from": "own-history"}
    assert document["candidates"][0]["prior"] == 0.25


def test_a_document_without_history_says_nothing_of_it():
    document = {"candidates": [{"id": name, "prior": 0.25} for name in MAP]}

    assert "provenance" not in with_priors(document, priors_of())
