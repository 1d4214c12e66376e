import pytest

from invoicing import readability


def test_the_worked_example_of_the_grade():
    # paperwork.md section 7: 120 words, 10 sentences, 168 syllables give grade 5.61 and ease 76.215.
    assert readability.grade(120, 10, 168) == pytest.approx(5.61)
    assert readability.ease(120, 10, 168) == pytest.approx(76.215)


def test_counts_of_a_short_text():
    score = readability.measure(["The battery was flat. We charged it."])

    assert (score.words, score.sentences, score.syllables) == (7, 2, 10)  # "charged" counts as two groups


def test_numbers_codes_and_names_are_skipped():
    score = readability.measure(["Hanne read P0302 and 12.31 V on the ECU."], names=["Hanne"])

    assert score.words == 5  # read, and, V, on, the


def test_a_text_without_words_has_no_score():
    assert readability.measure(["12.31", ""]) is None


def test_a_grade_of_nothing_is_refused():
    with pytest.raises(ValueError, match="A text without words has no grade"):
        readability.grade(0, 0, 0)


@pytest.mark.parametrize(
    ("word", "count"), [("car", 1), ("battery", 3), ("module", 2), ("table", 2), ("the", 1), ("rhythm", 1)]
)
def test_syllables_are_groups_of_vowels(word, count):
    assert readability.syllables(word) == count


def test_long_words_in_long_sentences_are_hard():
    text = (
        "Intermittent electromagnetic interference necessitated comprehensive investigation of the vehicle "
        "communication infrastructure notwithstanding previously documented remediation."
    )

    assert readability.measure([text]).is_hard


def test_plain_words_are_not_hard():
    assert not readability.measure(["The car did not start. We found a bad wire."]).is_hard


def test_only_long_sentences_are_worth_splitting():
    long = " ".join(["word"] * 26) + "."

    assert readability.long_sentences(["Short one. " + long]) == [long]
