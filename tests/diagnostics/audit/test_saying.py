"""What the owner reads of a share, in the words of statistics.md section 5."""

import pytest

from diagnostics.audit.pages import saying
from diagnostics.statistics.proportions import proportion


def said(count, of, fewest=30):
    return saying.sentence(proportion(count, of) if of else None, fewest).replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("count", "of", "text"),
    [
        (0, 0, "No finished job to count yet."),
        (1, 6, "Too few finished jobs for a rate: 1 of 6 came back."),
        (1, 29, "Too few to compare: 1 of 29 came back. A rate is shown from 30 finished jobs on."),
        # 1 - 0.05 ** (1 / n): 0.0722 and 0.0030, Hanley and Lippman-Hand, JAMA 249 (1983) 1743.
        (0, 40, "None of 40 came back so far. Up to about 7 in 100 would still fit this."),
        (0, 1000, "None of 1,000 came back so far. Up to about 3 in 1,000 would still fit this."),
        # practice.md section 8: 12 of 200 is 3.5 to 10.2 %.
        (12, 200, "That is 6.0 %; the true rate is likely between 3.5 and 10.2."),
    ],
)
def test_a_share_is_said_with_its_uncertainty(count, of, text):
    assert said(count, of) == text


def test_a_shop_may_ask_for_more_jobs_before_a_rate():
    assert said(3, 40, fewest=50).startswith("Too few to compare: 3 of 40 came back.")


def test_young_jobs_and_departures_are_said():
    young = saying.young_sentence(38, 177, 90).replace("\u00a0", " ")

    assert young.startswith("38 of 177 jobs were handed back too recently for their window of 90 days")
    assert saying.young_sentence(0, 177, 90) == ""
    assert saying.departures_sentence(0, None) == "Cars that left for good or went elsewhere are not visible."
    assert "1 vehicle of these jobs is known" in saying.departures_sentence(1, 0.05).replace("\u00a0", " ")
