import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.isolation.wording import figures


@pytest.mark.parametrize(
    ("value", "said"),
    [(0.1, "no time"), (0.5, "half a minute"), (0.9, "1 min"), (2.5, "3 min"), (79.5, "80 min"),
     (119, "119 min"), (124, "2 h 5 min"), (178, "3 h"), (float("inf"), "no end in sight")],
)  # fmt: skip
def test_minutes_are_said_as_at_the_vehicle(value, said):
    assert figures.minutes(value) == said


@pytest.mark.parametrize(
    ("share", "said"),
    [(0, "0 in 100"), (0.004, "under 1 in 100"), (0.435, "44 in 100"), (0.997, "over 99 in 100"),
     (1, "100 in 100")],
)  # fmt: skip
def test_a_chance_is_a_whole_number_of_times_in_100(share, said):
    assert figures.in_100(share) == said


@given(st.floats(0, 1))
def test_no_chance_is_said_with_more_than_three_digits(share):
    for said in (figures.in_100(share), figures.percent(share), figures.times_in_ten(share)):
        assert "." not in said


@pytest.mark.parametrize(
    ("share", "said"),
    [
        (0.01, "hardly ever"),
        (0.1, "once in ten times"),
        (0.9, "nine times in ten"),
        (0.97, "nearly every time"),
    ],
)
def test_a_share_as_times_in_ten(share, said):
    assert figures.times_in_ten(share) == said


def test_a_suspect_keeps_two_in_100_or_a_tenth_of_the_leader():
    posterior = {"a": 0.05, "b": 0.9, "c": 0.019, "d": 0.01, "e": 0.021}

    assert figures.still_suspected(posterior) == ("b", "a", "e")


def test_a_suspect_may_keep_less_than_two_in_100_where_the_leader_has_little():
    posterior = {f"u{number}": 0.09 for number in range(11)} | {"other": 0.01}

    assert "other" in figures.still_suspected(posterior)


@pytest.mark.parametrize(
    ("one", "other", "tie"), [(79.5, 80.9, True), (79.5, 86.4, False), (10, 12, True), (200, 205, True)]
)
def test_two_minutes_or_three_in_100_are_a_tie(one, other, tie):
    assert figures.is_tie(one, other) is figures.is_tie(other, one) is tie


def test_long_lists_say_how_many_more():
    assert figures.listed(["a", "b", "c", "d", "e"]) == "“a”, “b”, “c” and 2 more"
    assert figures.listed(["a", "b", "c", "d"]) == "“a”, “b”, “c” and “d”"
