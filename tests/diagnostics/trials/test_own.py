from decimal import Decimal

from diagnostics.trials.own import OwnTrial, amounts, clean_since_recurrence, sentences


def plain(told):
    return [sentence.replace("\u00a0", " ") for sentence in told]


def test_what_was_not_told_is_not_counted():
    assert amounts(OwnTrial(14)).replace("\u00a0", " ") == "14 days"
    assert amounts(OwnTrial(0, 3)).replace("\u00a0", " ") == "one day and 3 starts"


def test_stretches_are_summed_apart_and_bound_what_is_still_open():
    told = plain(sentences([OwnTrial(7, 10, Decimal(100), "mi"), OwnTrial(7, 20, Decimal(210), "mi")]))

    assert told == [
        "The customer's own: 14 days, 30 starts and 310 miles without it. "
        "Counted apart from the shop's trials.",
        # 1 - 0.05^(1/30) = 9.5 %, practice.md section 8.
        "Were their starts like the ones that failed, up to 10 in 100 could still show it (95 % confidence).",
        # 310 / ln 20 = 103.5, the zero-failure bound of statistics.md section 3.10.
        "By distance, one fault in every 103 miles could remain.",
    ]


def test_a_recurrence_with_the_customer_comes_first():
    (told,) = plain(sentences([OwnTrial(7, 10), OwnTrial(7, 10, recurrences=2)]))

    assert told.startswith("With the customer it came back 2 times")


def test_only_what_was_clean_since_the_last_recurrence_counts():
    assert clean_since_recurrence([OwnTrial(3), OwnTrial(4, recurrences=1), OwnTrial(5)]) == [OwnTrial(5)]
    assert "5 days" in plain(sentences([OwnTrial(4, recurrences=1), OwnTrial(5)]))[0]


def test_nothing_told_says_nothing():
    assert sentences([]) == []
