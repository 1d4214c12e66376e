"""The comparison of one check on tables made by hand; no database."""

import pytest
from scipy import stats

from diagnostics.audit.check_words import gate_words, say
from diagnostics.audit.compared import Cell, Counts, ReturnMean, compare, compare_one, priced


def counted(*tables, code="standing_draw", phase="before", waived=(0, 0)):
    """Counts of tables ((back, not) skipped, (back, not) done), each a stratum of its own."""
    cells = tuple(
        Cell("charging", n, sum(skipped), skipped[0], sum(done), done[0])
        for n, (skipped, done) in enumerate(tables, 1)
    )
    return Counts(
        code,
        phase,
        done=sum(cell.done for cell in cells),
        waived=waived[1],
        skipped=sum(cell.skipped for cell in cells),
        cells=cells,
        waived_jobs=waived[1],
        waived_back=waived[0],
    )


def test_rabbits_have_too_few_jobs_to_judge_and_are_tested_exactly():
    # statistics.md section 7, mh-rabbits: R mantelhaen.test example (Agresti 1990 pp. 231-237).
    found = compare_one(
        counted(((0, 0), (6, 5)), ((3, 0), (3, 6)), ((6, 2), (0, 4)), ((5, 6), (1, 0)), ((2, 5), (0, 0)))
    )

    assert not found.gate.passed
    assert found.gate.mantel_fleiss < 5
    assert found.p_by == "Fisher exact"
    assert found.p == pytest.approx(stats.fisher_exact([[16, 13], [10, 15]]).pvalue, abs=1e-9)
    assert (found.adjusted.jobs, found.adjusted.dropped) == (36, 18)


def test_only_rows_that_passed_the_gate_share_the_allowance():
    strong = counted(((30, 70), (10, 190)), code="strong")
    even = counted(((10, 90), (10, 90)), code="even")
    thin = counted(((4, 5), (0, 200)), code="thin")

    rows = {row.code: row for row in compare([thin, even, strong])}

    expected = stats.false_discovery_control([rows["strong"].p, rows["even"].p])
    assert [rows["strong"].q, rows["even"].q] == pytest.approx(list(expected))
    assert (rows["strong"].listed, rows["even"].listed) == (True, False)
    assert (rows["thin"].q, rows["thin"].answer) == (None, "too_few")
    assert compare([thin, even, strong])[0].code == "strong"


@pytest.mark.parametrize(
    ("table", "passed"),
    [
        (((5, 15), (5, 15)), True),
        (((4, 5), (8, 12)), False),  # 9 jobs on a side
        (((8, 12), (4, 5)), False),
        (((2, 98), (2, 98)), False),  # 4 comebacks
    ],
)
def test_the_gate_asks_for_jobs_on_both_sides_comebacks_and_a_count_that_can_move(table, passed):
    assert compare_one(counted(table)).gate.passed is passed


def test_the_gate_says_about_how_many_more_jobs_are_needed():
    found = compare_one(counted(((1, 49), (1, 49))))  # 1 expected on each side: it could move by 1

    assert found.gate.more == 400
    assert gate_words(found) == ("Not enough comebacks to judge this test. About 400 more jobs are needed.")


@pytest.mark.parametrize(
    ("tables", "words"),
    [
        ([((0, 0), (3, 40))], "Never skipped, so there is nothing to compare."),
        ([((3, 40), (0, 0))], "Never done, so there is nothing to compare."),
        ([((0, 40), (0, 40))], "Not enough comebacks to judge this test: none of 80 jobs came back."),
        (
            [((9, 40), (0, 0)), ((0, 0), (9, 40))],
            "Not enough comebacks to judge this test: no kind of job has it both done and skipped.",
        ),
    ],
)
def test_where_no_number_of_jobs_can_be_named_the_reason_is(tables, words):
    assert gate_words(compare_one(counted(*tables))) == words


def test_words_state_an_association_and_never_a_cause():
    strong, even, fewer = compare(
        [
            counted(((30, 70), (10, 190)), code="a"),
            counted(((10, 90), (10, 90)), code="b"),
            counted(((10, 190), (30, 70)), code="c"),
        ]
    )

    said = {row.code: say(row) for row in (strong, even, fewer)}

    assert said["a"].startswith("Came back more often when skipped")
    assert "It may still be chance or something not recorded." in said["a"]
    assert said["b"].startswith("No clear difference. Data fit anything from ")
    assert said["c"].startswith("Came back less often when skipped")
    assert not any("because" in text or "caused" in text for text in said.values())


def test_strata_that_disagree_are_not_read_as_one():
    agree = compare_one(counted(((20, 80), (10, 90)), ((20, 80), (10, 90))))
    apart = compare_one(counted(((40, 60), (5, 95)), ((5, 95), (40, 60))))

    assert agree.adjusted.holds
    assert not apart.adjusted.holds


def test_what_absence_goes_with_is_priced_at_the_mean_comeback():
    row = compare_one(counted(((20, 80), (10, 90))))

    price = priced(row, 15, ReturnMean(of=30, minutes=90.0, minutes_of=12)).price

    assert price.test_minutes == 15
    assert price.extra == pytest.approx([100 * x for x in (0.1, row.extra.low, row.extra.high)])
    assert price.extra_minutes[0] == pytest.approx(900)
    assert price.extra_money is None  # not known, and not zero


def test_below_the_gate_nothing_is_priced():
    row = compare_one(counted(((1, 9), (1, 9))))

    assert priced(row, 15, ReturnMean(minutes=90.0)).price.extra is None
