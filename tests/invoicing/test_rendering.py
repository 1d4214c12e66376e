"""Papers are opened and read back. Tags: ISO 14289-1 (PDF/UA-1) as told in paperwork.md section 8."""

import io
import logging
import re
import subprocess
import sys
from itertools import pairwise

import pikepdf
import pypdf
import pypdfium2
import pytest
from PIL import Image, ImageChops

from invoicing import rendering, sheets
from tests.invoicing.kept import issued, kept_job

pytestmark = pytest.mark.django_db


@pytest.fixture
def noted(caplog):
    """What the PDF engine complains about, apart from style it passes over."""
    logging.getLogger("weasyprint").setLevel(logging.WARNING)
    caplog.set_level(logging.WARNING, logger="weasyprint")
    yield lambda: [r.getMessage() for r in caplog.records if "media" not in r.getMessage()]
    logging.getLogger("weasyprint").setLevel(logging.ERROR)


@pytest.fixture
def findings():
    return rendering.draw(sheets.issued_paper(issued(kept_job())))


def text_of(pdf):
    return "\n".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages)


@pytest.fixture
def tags(findings):
    """The elements of the structure tree in their order."""
    with pikepdf.open(io.BytesIO(findings.pdf)) as opened:
        yield list(_walk(opened.Root.StructTreeRoot))


def _walk(element):
    if "/S" in element:
        yield element
    kids = element.get("/K", [])
    for kid in kids if isinstance(kids, pikepdf.Array) else [kids]:
        if isinstance(kid, pikepdf.Dictionary):
            yield from _walk(kid)


def test_a_normal_job_fits_on_two_pages(findings):
    assert findings.pages <= 2


def test_a_warranty_note_fits_on_one_page():
    assert rendering.draw(sheets.current_paper(kept_job(), "warranty")).pages == 1


def test_nothing_is_missing_that_a_reader_needs(noted):
    order = kept_job()
    rendering.draw(sheets.current_paper(order, "findings"))
    rendering.draw(sheets.current_paper(order, "warranty"))

    assert noted() == []


def test_a_missing_language_is_noticed(noted):
    rendering.draw_html('<title>t</title><body class="paper"><p>x')

    assert any("lang" in line for line in noted())


def test_the_file_says_what_it_is(findings):
    with pikepdf.open(io.BytesIO(findings.pdf)) as pdf:
        assert str(pdf.Root.Lang) == "en"
        assert bool(pdf.Root.MarkInfo.Marked)
        assert bool(pdf.Root.ViewerPreferences.DisplayDocTitle)
        assert "/StructTreeRoot" in pdf.Root
        assert str(pdf.docinfo["/Title"]) == "Findings for job 1003, version 1, Quarry Road Garage"
        with pdf.open_metadata() as facts:
            assert facts["pdfuaid:part"] == "1"


def test_its_date_is_the_papers_not_the_clocks(findings):
    with pikepdf.open(io.BytesIO(findings.pdf)) as pdf:
        assert str(pdf.docinfo["/CreationDate"]).startswith("D:20260701")


def test_every_drawing_has_a_description(tags):
    figures = [tag for tag in tags if str(tag.S) == "/Figure"]

    assert figures
    assert all("should be 50 to 70" in str(tag.Alt) for tag in figures)


def test_every_cell_names_its_heads(tags):
    cells = [tag for tag in tags if str(tag.S) == "/TD"]

    assert cells
    assert all("/Headers" in cell.A for cell in cells)


def test_headings_skip_no_level(tags):
    levels = [int(str(tag.S)[2:]) for tag in tags if re.fullmatch(r"/H[1-6]", str(tag.S))]

    assert levels[0] == 1
    assert all(later - earlier <= 1 for earlier, later in pairwise(levels))


def test_all_fonts_are_embedded(findings):
    with pikepdf.open(io.BytesIO(findings.pdf)) as pdf:
        described = [
            one.FontDescriptor
            for one in pdf.objects
            if isinstance(one, pikepdf.Dictionary) and "/FontDescriptor" in one
        ]
        assert described
        assert all({"/FontFile", "/FontFile2", "/FontFile3"} & set(one.keys()) for one in described)


def test_the_text_comes_out_in_reading_order(findings):
    text = text_of(findings.pdf)
    questions = re.findall(r"(\d+)\. (?:What|Did|How)", text)

    assert questions == sorted(questions, key=int)
    assert text.index("What was wrong") < text.index("1. What did you") < text.index("If it comes back")


def test_verdicts_are_words(findings):
    text = text_of(findings.pdf)

    assert "120.4\u00a0Ω, outside limits" in text.replace(" ", " ")
    assert "within limits" in text


def test_the_same_words_stand_without_any_style():
    html = rendering.paper_html(sheets.issued_paper(issued(kept_job())))

    assert "outside limits" in html
    assert "within limits" in html
    assert "<style" not in html
    assert "style=" not in html


def test_the_foot_names_job_version_document_and_page(findings):
    assert re.search(r"Job 1003, version 1, document [0-9a-f]{8}\s*Page 1 of \d", text_of(findings.pdf))


def test_a_paper_that_is_not_issued_says_so():
    drawn = rendering.draw(sheets.current_paper(kept_job(), "findings"))

    assert "Job 1003, not issued" in text_of(drawn.pdf)


def test_the_same_paper_gives_the_same_bytes():
    document = issued(kept_job())

    assert rendering.draw(sheets.issued_paper(document)) == rendering.draw(sheets.issued_paper(document))


def test_the_law_sentence_is_on_every_paper():
    order = kept_job()

    for kind in ("findings", "warranty"):
        text = text_of(rendering.draw(sheets.current_paper(order, kind)).pdf)
        assert "Check your local law." in text


@pytest.mark.parametrize(
    "address",
    [
        "http://example.org/logo.png",
        "https://example.org/logo.png",
        "ftp://example.org/logo.png",
        "file:///etc/passwd",
        "file:///etc/../etc/passwd",
        "data:text/css,body{}",
        (rendering.STATIC / "css" / ".." / ".." / "manage.py").as_uri(),
        "file://host/static/css/paper.css",
    ],
)
def test_everything_but_our_own_files_is_refused(address):
    with pytest.raises(rendering.PaperReachesOut, match="uses only its own style sheet and fonts"):
        rendering.OwnFilesOnly().fetch(address)


def test_our_own_style_sheet_is_handed_out():
    answer = rendering.OwnFilesOnly().fetch(rendering.STYLESHEET.as_uri())

    assert b"@page" in answer.read()
    answer.close()


def test_a_page_that_reaches_out_is_not_drawn():
    with pytest.raises(rendering.PaperReachesOut, match=r"not https://example\.org/x\.png"):
        rendering.draw_html('<html lang="en"><title>t</title><img alt="x" src="https://example.org/x.png">')


def test_the_customers_words_are_shown_and_not_run():
    html = rendering.paper_html(_paper_with("<img src=x onerror=alert(1)>"))

    assert "&lt;img src=x" in html


def _paper_with(words):
    order = kept_job()
    order.complaint_set.update(text=words)
    return sheets.current_paper(order, "findings")


def test_ohms_and_limits_are_drawn_as_such():
    """A text test can miss a wrong glyph; a picture does not (platform.md section 4, WeasyPrint pitfall)."""
    ours = _drawn('"Sofia Sans", "Sofia Sans Greek", "DejaVu Sans"')
    reference = _drawn('"DejaVu Sans"')

    for sign in "Ω≤→√":
        wrong = max(_likeness(ours[sign], reference[other]) for other in reference if other != sign)
        assert _likeness(ours[sign], reference[sign]) > max(wrong, 0.85), sign


def _drawn(family):
    """Draw each sign of the line large, on a page of its own, and cut it out."""
    signs = {}
    for sign in dict.fromkeys("4.7 Ω ≤ 5 kΩ → √ O:".replace(" ", "")):
        html = (
            f'<html lang="en"><title>t</title><style>p{{font:400 120pt {family}; margin: 0}}</style>'
            f'<body class="paper"><p>{sign}</p></body></html>'
        )
        page = pypdfium2.PdfDocument(rendering.draw_html(html).pdf)[0]
        picture = page.render(scale=1).to_pil().convert("L").crop((0, 0, 500, 300))  # Above the foot.
        signs[sign] = picture.crop(ImageChops.invert(picture).getbbox())
    return signs


def _likeness(a, b):
    """Share of equal pixels after both are brought to one size."""
    size = (64, 64)
    first, second = (one.resize(size).point(lambda v: 255 if v > 128 else 0) for one in (a, b))
    return ImageChops.difference(first, second).histogram()[0] / (size[0] * size[1])


def test_the_site_starts_without_the_pdf_engine():
    code = "import sys, django; django.setup(); import shared.urls; sys.exit('weasyprint' in sys.modules)"

    assert subprocess.run([sys.executable, "-c", code], env=_environment(), check=False).returncode == 0


def _environment():
    import os

    return {**os.environ, "DJANGO_SETTINGS_MODULE": "shared.settings"}


def test_pictures_can_be_compared():
    black, white = Image.new("L", (8, 8), 0), Image.new("L", (8, 8), 255)

    assert _likeness(black, black) == 1
    assert _likeness(black, white) == 0
