from hypothesis import given
from hypothesis import strategies as st

from diagnostics.isolation.drawing.lettering import shorten, width_of, wrap

WORDS = st.text("abc MW漢", max_size=60)


@given(WORDS, st.floats(30, 300), st.integers(1, 3))
def test_no_line_is_wider_than_its_room(text, width, most):
    lines = wrap(text, width, most)

    assert len(lines) <= most
    assert all(width_of(line) <= width for line in lines)


def test_words_break_at_a_space_and_what_is_left_off_is_marked():
    assert wrap("counter unit for the load space", 100, 2) == ("counter unit", "for the load…")


def test_a_no_break_space_holds():
    assert wrap("suspect, 52\u00a0in\u00a0100", 80, 2) == ("suspect,", "52\u00a0in\u00a0100")


def test_a_word_too_long_for_its_line_is_broken():
    assert "".join(wrap("mmmmmmmmmmmm", 80, 3)) == "mmmmmmmmmmmm"


def test_what_fits_stays_whole():
    assert shorten("horn unit", 80) == "horn unit"
