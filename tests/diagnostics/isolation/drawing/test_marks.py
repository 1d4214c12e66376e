import pytest

from diagnostics.isolation.drawing import Mark, Marks, chance_words
from diagnostics.isolation.drawing.marks import state_words


@pytest.mark.parametrize(
    ("chance", "words"),
    [
        (0.27, "27 in 100"),
        (0.0, "0 in 100"),
        (0.004, "under 1 in 100"),
        (0.005, "1 in 100"),
        (0.994, "99 in 100"),
        (0.996, "over 99 in 100"),
        (1.0, "100 in 100"),
        (None, ""),
    ],
)
def test_a_chance_is_said_in_a_hundred_and_never_as_certain(chance, words):
    assert chance_words(chance) == words


def test_what_is_cleared_names_its_readings():
    assert state_words(Mark("cleared", readings=(1, 3))) == ("cleared by 1, 3",)


def test_a_suspicion_is_shown_beside_the_strongest_one():
    marks = Marks({"a": Mark("suspect", 0.5)}, {"w": Mark("suspect", 0.125)})

    assert (marks.share(marks.of_place("a")), marks.share(marks.of_wire("w"))) == (1.0, 0.25)


def test_only_a_suspect_has_a_share():
    marks = Marks({"a": Mark("suspect", 0.5), "b": Mark("cleared", 0.5)})

    assert marks.share(marks.of_place("b")) == 0
