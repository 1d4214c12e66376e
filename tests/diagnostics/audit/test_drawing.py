"""A point stands where its value says, and the text and the table say the same figures."""

import re
from dataclasses import dataclass
from xml.etree import ElementTree

import pytest

from diagnostics.audit import drawing
from diagnostics.audit.drawing.picture import Band, Mark, Stroke, Words


@dataclass(frozen=True)
class Step:
    day: int
    value: float
    low: float
    high: float
    at_risk: int = 100


STEPS = [
    Step(0, 0.0, 0.0, 0.014, 210),
    Step(10, 0.02, 0.01, 0.05, 200),
    Step(30, 0.02, 0.01, 0.05, 190),
    Step(40, 0.05, 0.03, 0.08, 180),
    Step(80, 0.08, 0.05, 0.1, 150),
    Step(90, 0.08, 0.05, 0.1, 140),
]
PERCENT = drawing.FunnelScale("jobs", "came back", lambda value: f"{value:.1f} %")


def parts(picture, kind):
    return [part for part in picture.parts if isinstance(part, kind)]


def texts(picture):
    return [part.text for part in parts(picture, Words)]


def strokes(picture, pen):
    return [part.path for part in parts(picture, Stroke) if part.pen == pen]


def a_curve(**asked):
    return drawing.curve_drawing(STEPS, **{"drawn_to": 90} | asked)


@pytest.mark.parametrize("room", ["broad", "narrow"])
def test_the_curve_stands_at_its_values(room):
    picture = getattr(a_curve(), room)
    width, foot, top = picture.width - 6, 300, 72  # The axis goes from 0 to 10 % and to day 90.

    at_30, at_90 = sorted(parts(picture, Mark), key=lambda mark: mark.x)

    assert (at_30.x, at_30.y) == pytest.approx((width * 30 / 90, foot - (foot - top) * 2 / 10))
    assert (at_90.x, at_90.y) == pytest.approx((width, foot - (foot - top) * 8 / 10))
    (path,) = strokes(picture, "curve")
    assert set(re.findall("[A-Z]", path)) == {"M", "H", "V"}, "steps stay steps"
    assert len(parts(picture, Band)) == 1


def test_the_curve_says_its_figures():
    chart = a_curve()

    assert "2.0 percent by day 30, 95 percent band 1.0 to 5.0" in chart.text
    assert "8.0 percent by day 90, 95 percent band 5.0 to 10.0" in chart.text
    assert ("30", "190", "2.0 %", "1.0 to 5.0") in chart.table.rows
    assert [row[0] for row in chart.table.rows] == ["10", "30", "40", "80", "90"]
    assert {"2.0 % by day 30", "8.0 % by day 90"} <= set(texts(chart.broad))


def test_the_curve_ends_where_too_few_are_watched():
    chart = a_curve(drawn_to=60)

    assert "by day 90" not in chart.text
    (path,) = strokes(chart.broad, "curve")
    assert path.endswith(f"H{754 * 60 / 90:.1f}")


def test_a_curve_without_an_event_lies_on_the_axis():
    chart = drawing.curve_drawing([Step(0, 0, 0, 0.07, 40), Step(30, 0, 0, 0.07, 40)], drawn_to=90)

    assert "0.0 percent by day 30, 95 percent band 0.0 to 7.0" in chart.text
    assert strokes(chart.broad, "curve") == [f"M0.0 300.0H0.0V300.0H{754 / 3:.1f}V300.0H754.0"]


@pytest.mark.parametrize("room", ["broad", "narrow"])
def test_labels_of_a_curve_do_not_touch(room):
    for value in (0.0, 0.01, 0.2, 0.5):
        steps = [Step(5, value, value / 2, min(1.0, value * 1.5))]
        words = parts(getattr(drawing.curve_drawing(steps, drawn_to=90), room), Words)
        labels = [one for one in words if "by day" in one.text]
        assert not labels[0].meets(labels[1]), value


def limits():
    return [
        drawing.FunnelLimit(at, 5 - 40 / at, 5 + 40 / at, 5 - 60 / at, 5 + 60 / at) for at in range(10, 101)
    ]


def test_the_funnel_draws_those_with_enough_and_names_those_it_may():
    points = [
        drawing.FunnelPoint("Isa Fell", 50, 4.0, "2 of 50", "within what chance explains"),
        drawing.FunnelPoint("", 100, 12.0, "12 of 100", "look at the jobs", is_out=True),
        drawing.FunnelPoint("Tobin Marsh", 6, 16.7, "1 of 6", "too few", too_few=True),
    ]

    chart = drawing.funnel_drawing(points, limits(), center=5.0, scale=PERCENT)

    marks = parts(chart.broad, Mark)
    assert [mark.shape for mark in marks] == ["dot", "out"]
    assert marks[0].x == pytest.approx(marks[1].x / 2)
    assert marks[0].y == pytest.approx(340 - (340 - 44) * 4 / 15)
    assert "Isa Fell" in texts(chart.broad)
    assert "Tobin Marsh" not in texts(chart.broad)
    assert ("Tobin Marsh", "6", "1 of 6", "", "too few") in chart.table.rows
    assert chart.text.endswith("Beyond the 99.9 percent limits: one 12.0 %.")
    assert len(strokes(chart.broad, "limit")) == len(strokes(chart.broad, "far")) == 2


def some_months():
    return [
        drawing.Month("Jan 26", 2, 40, 0.0, 0.16),
        drawing.Month("Feb 26", 8, 40, 0.0, 0.16, is_out=True),
        drawing.Month("Mar 26", 0, 20, 0.0, 0.2),
        drawing.Month("Apr 26", 0, 0),
        drawing.Month("May 26", 1, 30, is_maturing=True),
    ]


def test_maturing_months_are_hollow_and_without_limits():
    chart = drawing.p_chart_drawing(some_months(), center=0.1, limits="Laney limits")

    marks = parts(chart.broad, Mark)
    assert [mark.shape for mark in marks] == ["dot", "out", "dot", "hollow"]
    assert marks[0].x == pytest.approx(44 + (754 - 44) * 0.5 / 5)
    assert marks[0].y == pytest.approx(300 - (300 - 40) * 5 / 20)
    low, high = strokes(chart.broad, "limit")
    assert high.count("H") == low.count("H") == 3
    assert "L" not in high, "limits are steps"
    assert {"Laney limits", "still maturing", "all months 10.0 %"} <= set(texts(chart.broad))
    assert "Beyond the limits of chance: Feb 26 20.0 percent." in chart.text
    assert chart.table.rows[-1] == ("May 26", "1 of 30", "3.3 %", "", "still maturing")


def test_months_before_any_is_mature():
    young = [drawing.Month("May 26", 1, 30, is_maturing=True)]

    assert "no month has had its whole window" in drawing.p_chart_drawing(young, center=None).text


def test_the_running_sum_stands_at_its_values_and_marks_its_call():
    chart = drawing.cusum_drawing(
        [0.5, 1.0, 3.5, 2.0], threshold=3, signal=3, labels=[(1, "Jan 26"), (4, "Feb 26")]
    )

    (mark,) = parts(chart.broad, Mark)
    assert (mark.x, mark.y) == pytest.approx((754 * 3 / 4, 260 - (260 - 34) * 3.5 / 4))
    assert "it called at job 3, Jan 26" in chart.text
    assert chart.table.rows[-2:] == (("called", "3", "3.50"), ("now", "4", "2.00"))


def test_a_long_running_sum_keeps_its_highest_point():
    path = [0.0] * 50_000
    path[30_000] = 9.0

    chart = drawing.cusum_drawing(path, threshold=10)

    (drawn,) = strokes(chart.broad, "curve")
    assert f"V{260 - (260 - 34) * 9 / 15:.1f}" in drawn
    assert drawn.count("H") <= 760


@pytest.mark.parametrize(
    "chart",
    [
        a_curve(),
        drawing.curve_drawing([], drawn_to=0),
        drawing.funnel_drawing([], [], center=0.0, scale=PERCENT),
        drawing.p_chart_drawing([], center=None),
        drawing.cusum_drawing([], threshold=3),
        drawing.p_chart_drawing([drawing.Month("<May>", 1, 9, 0.0, 0.3)], center=0.1),
    ],
)
def test_every_chart_is_well_formed_and_says_what_it_shows(chart):
    for markup in (drawing.svg(chart.broad, chart.text, room="broad"), drawing.paper_svg(chart, "one")):
        root = ElementTree.fromstring(markup)
        assert root.get("role") == "img"
        assert root.find("title").text == chart.text


def test_a_paper_shares_nothing_with_the_page():
    drawn = drawing.paper_svg(a_curve(), "curve")

    assert 'class="p-plot"' in drawn
    assert drawn.count("class=") == 1
    assert "url(#curve)" in drawn
    assert 'id="curve"' in drawn


def test_a_strip_stands_on_its_scale():
    drawn = drawing.strip(Share(0.1, 0.05, 0.15), 0.2)

    assert (drawn.at, drawn.start, drawn.width) == (50, 25, 50)


@dataclass(frozen=True)
class Share:
    share: float
    low: float
    high: float
