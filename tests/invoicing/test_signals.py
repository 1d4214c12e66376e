"""Recorded signals on the findings sheet: only those that were chosen, drawn with an alternative text."""

import io

import pikepdf
import pytest

from invoicing import rendering, sheets
from invoicing.findings import as_data
from tests.diagnostics.signals.recorded import ready_capture
from tests.invoicing.kept import issued, kept_job

pytestmark = pytest.mark.django_db

CHOSEN = {"title": "Data bus at rest", "points": ["plug 6 and 14"], "on_sheet": True}


@pytest.fixture(autouse=True)
def _own_shelf(settings, tmp_path):
    settings.CAPTURES_DIR = tmp_path / "captures"


@pytest.fixture
def order():
    return kept_job()


def chosen(order, **about):
    capture = ready_capture([[2.5, 3.5] * 200], order=order)
    type(capture).objects.filter(pk=capture.pk).update(**CHOSEN | about)
    return capture


def alternative_texts(pdf):
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        return [
            str(one.Alt)
            for one in opened.objects
            if isinstance(one, pikepdf.Dictionary) and one.get("/S") == "/Figure" and "/Alt" in one
        ]


def test_a_sheet_shows_the_recordings_that_were_chosen(order):
    chosen(order)
    ready_capture(order=order)

    (signal,) = sheets.current_findings(order).signals
    assert signal.title == "Data bus at rest"
    assert signal.recorded.replace("\xa0", " ") == "before the repair, 2 March 2026"
    assert signal.lanes[0].label == "plug 6 and 14"


def test_what_was_recorded_before_the_repair_comes_first(order):
    chosen(order, phase="after", title="After")
    chosen(order, title="Before", ref="S900")

    assert [signal.title for signal in sheets.current_findings(order).signals] == ["Before", "After"]


def test_the_picture_of_a_paper_has_an_alternative_text(order):
    chosen(order)

    drawn = rendering.draw(sheets.current_paper(order, "findings"))

    said = "Data bus at rest: 400 ms of A plug 6 and 14, 2.5 V to 3.5 V."
    assert said in alternative_texts(drawn.pdf)


def test_an_issued_sheet_keeps_its_picture(order):
    capture = chosen(order)
    document = issued(order)
    type(capture).objects.filter(pk=capture.pk).update(on_sheet=False)

    assert "Data bus at rest" in rendering.paper_html(sheets.issued_paper(document))
    assert document.template_version == "2"


def test_a_sheet_from_before_there_were_signals_is_drawn(order):
    paper = sheets.current_paper(order, "findings")
    del paper.data["sheet"]["signals"]

    assert "What did we measure?" in rendering.paper_html(paper)


def test_a_text_of_a_recording_is_escaped_on_paper(order):
    chosen(order, points=['<img src="x">'])

    assert "<img" not in rendering.paper_html(sheets.current_paper(order, "findings"))
    assert as_data(sheets.current_findings(order))["signals"][0]["lanes"][0]["label"] == '<img src="x">'
