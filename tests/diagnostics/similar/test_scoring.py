from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from diagnostics.similar.scoring import Likeness, distinct, score
from diagnostics.similar.words import MOST_WORDS, words_of

THIS = Likeness(
    system="battery",
    symptom="flat_after_standing",
    pattern="intermittent",
    make="Norvane",
    model="Tarn",
    engine="1.6",
    year=2018,
    conditions=frozenset({"overnight", "frost"}),
    failing=frozenset({("standing_draw", "fuse 12")}),
)
texts = st.sampled_from(["", "a", "b"])
likenesses = st.builds(
    Likeness,
    system=texts,
    symptom=texts,
    pattern=texts,
    make=texts,
    model=texts,
    engine=texts,
    year=st.none() | st.integers(2000, 2020),
    conditions=st.frozensets(st.sampled_from("xyz")),
    failing=st.frozensets(st.tuples(texts, texts)),
)


def test_a_job_is_most_like_one_that_shares_everything():
    found = score(THIS, replace(THIS, year=2016), fit=1.0)

    assert found.points == 30 + 25 + 12 + 23 + 10 + 4
    assert found.reasons[0] == "the same symptom"
    assert set(found.reasons) >= {
        "the same reading failed",
        "the same model and engine",
        "when: frost, overnight",
    }


def test_what_is_not_known_equals_nothing():
    assert score(Likeness(), Likeness()) == score(THIS, Likeness())
    assert score(Likeness(), Likeness()).points == 0


@settings(max_examples=50, deadline=None)
@given(likenesses, likenesses, st.floats(0, 1))
def test_points_never_fall_when_words_fit_better(this, other, fit):
    assert (
        0
        <= score(this, other).points
        <= score(this, other, fit=fit).points
        <= score(this, this, fit=1).points
    )


def test_telling_words_are_kept_once_in_their_order():
    assert words_of("The fan, the FAN stops when it rains; café") == ("fan", "stops", "rains", "café")
    assert len(words_of(" ".join(f"word{n}" for n in range(90)))) == MOST_WORDS


def test_components_are_one_whatever_their_case_and_spaces():
    assert distinct(["Fan  motor", "relay", "fan motor"]) == ("Fan  motor", "relay")
