"""The screen of part batches at its limits (practice.md section 8), and its counts from the records."""

import pytest
from scipy import stats

from diagnostics.audit.batches import batches
from diagnostics.audit.scope import Scope
from diagnostics.audit.screen import Fitted, chi_square, screened
from shop.models import PartFitted, WorkItem
from tests.diagnostics.audit.watched import AS_OF, jobs


def against(failed, of, others_failed, others_of):
    rows = screened(
        [Fitted("P1", "A", "pump", failed, of), Fitted("P1", "B", "pump", others_failed, others_of)]
    )
    return next(row for row in rows if row.batch == "A")


@pytest.mark.parametrize(
    ("counts", "signal"),
    [
        ((3, 10, 2, 60), True),
        ((2, 4, 0, 60), False),  # two failed
        ((10, 100, 50, 1000), True),  # ratio exactly 2, chi-square 4.4
        ((99, 1000, 50, 1000), False),  # ratio just below 2, however large the chi-square
        ((4, 10, 4, 22), False),  # ratio 2.2, chi-square below 4
        ((3, 10, 0, 40), True),  # no other failed: a ratio without end
        ((3, 3, 0, 0), False),  # no other batch
        ((5, 5, 5, 5), False),
    ],
)
def test_a_batch_stands_out_only_beyond_all_three_limits(counts, signal):
    assert against(*counts).signal is signal


def test_the_chi_square_is_pearsons_without_correction():
    found = against(10, 100, 50, 1000)

    table = [[10, 90], [50, 950]]
    assert found.chi_square == pytest.approx(stats.chi2_contingency(table, correction=False).statistic)
    assert found.ratio == pytest.approx(2.0)
    assert found.beyond == pytest.approx(5.0)
    assert chi_square(0, 5, 0, 5) is None


def test_other_part_numbers_and_batches_without_a_failure_are_no_rows():
    rows = screened(
        [Fitted("P1", "A", "pump", 3, 10), Fitted("P1", "B", "pump", 0, 40), Fitted("P2", "A", "hose", 1, 1)]
    )

    assert [(row.number, row.batch, row.others_of) for row in rows] == [("P1", "A", 40), ("P2", "A", 0)]


@pytest.mark.django_db
def test_a_job_with_two_parts_of_one_batch_counts_once(django_assert_num_queries):
    def fit(job, ref, number="P1", batch="A"):
        work = WorkItem.objects.create(
            order=job.order,
            ref=ref,
            kind="replace",
            component="pump",
            reason="cause",
            done_on=job.returned_on,
        )
        PartFitted.objects.create(work=work, number=number, batch=batch)

    bad, good = jobs(3, back=3), jobs(20)
    for job in bad:
        fit(job, "W1")
        fit(job, "W2")
    for job in good:
        fit(job, "W1", batch="B")
    fit(good[0], "W3", batch="")
    fit(good[0], "W4", number="")

    with django_assert_num_queries(1):
        found = batches(Scope(as_of=AS_OF))

    (row,) = found.signals
    assert (row.number, row.batch, row.part) == ("P1", "A", "pump")
    assert (row.failed, row.of, row.others_failed, row.others_of) == (3, 3, 0, 20)
    assert found.looked_at == 2
