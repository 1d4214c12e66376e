"""The findings sheet as PDF, beside a plain document of as much text from the same engine."""

from html import escape
from html.parser import HTMLParser

from django.db.models import Count
from weasyprint import HTML
from weasyprint.text.fonts import FontConfiguration

from invoicing.rendering import draw, draw_html, paper_html
from invoicing.sheets import current_paper
from shop.models import RepairOrder
from tests.bench.shop import run_child
from tests.bench.timing import Comparison, in_turns

WORDS_A_PARAGRAPH = 40
COLD_STARTS = 3


def measure(shop, repeats):
    order = RepairOrder.objects.filter(returned_on__isnull=False)
    order = order.annotate(size=Count("testrun_set")).order_by("-size", "pk")[0]
    html = paper_html(current_paper(order, "findings"))
    plain = plain_document(html)
    (shop.folder / "plain.html").write_text(plain, encoding="utf-8")
    fonts = FontConfiguration()

    def whole():
        draw(current_paper(order, "findings"))

    def drawn():
        draw_html(html)

    def yardstick():
        HTML(string=plain).write_pdf(font_config=fonts)

    for function in (whole, drawn, yardstick):
        function()
    whole_seconds, drawn_seconds, plain_seconds = in_turns(repeats, whole, drawn, yardstick)
    cold, plain_cold = in_turns(
        min(repeats, COLD_STARTS),
        lambda: run_child(shop.filled, "sheet", str(order.pk)),
        lambda: run_child(shop.filled, "plain", str(shop.folder / "plain.html")),
    )
    pages = len(HTML(string=plain).render().pages)
    note = f"{len(html) // 1000} kB of HTML; plain one has {pages} pages"
    return [
        Comparison("findings sheet, warm", whole_seconds, "plain PDF, warm", plain_seconds, note=note),
        Comparison("  its drawing alone", drawn_seconds, "plain PDF, warm", plain_seconds),
        Comparison("findings sheet, cold", cold, "plain PDF, cold", plain_cold, note="whole process"),
    ]


def plain_document(html):
    """Return the text of a page as plain paragraphs."""
    reader = Words()
    reader.feed(html)
    starts = range(0, len(reader.words), WORDS_A_PARAGRAPH)
    paragraphs = [" ".join(reader.words[start : start + WORDS_A_PARAGRAPH]) for start in starts]
    body = "".join(f"<p>{escape(text)}</p>" for text in paragraphs)
    return f"<!doctype html><html lang='en'><title>Plain</title>{body}</html>"


class Words(HTMLParser):
    """Collects the words of a page's text."""

    def __init__(self):
        super().__init__()
        self.words = []

    def handle_data(self, data):
        self.words += data.split()
