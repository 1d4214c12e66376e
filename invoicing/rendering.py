"""Draws a paper as a tagged PDF. The only module that imports the PDF engine; import it when you need it."""

from __future__ import annotations

import threading
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit
from urllib.request import url2pathname

from django.conf import settings
from django.template.loader import render_to_string
from weasyprint import CSS, HTML
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import FatalURLFetchingError, URLFetcher

from invoicing.sheets import Paper

STATIC = Path(settings.BASE_DIR) / "shared" / "static"
STYLESHEET = STATIC / "css" / "paper.css"
VARIANT = "pdf/ua-1"

# One for the process: it costs a third of the time of a document. It is not safe between threads.
_fonts = FontConfiguration()
_one_at_a_time = threading.Lock()


class PaperReachesOut(PermissionError):
    """A paper asked for a file that is not its own style sheet or font."""


class OwnFilesOnly(URLFetcher):
    """Hands out style sheets and fonts of our own from the disk, and refuses everything else."""

    def __init__(self) -> None:
        super().__init__(allowed_protocols=["file"], allow_redirects=False, fail_on_errors=True)

    def fetch(self, url, headers=None):
        parts = urlsplit(url)
        path = Path(url2pathname(parts.path)).resolve()
        if parts.scheme != "file" or parts.netloc or not self._is_own(path):
            raise PaperReachesOut(f"A paper uses only its own style sheet and fonts, not {url[:200]}.")
        return super().fetch(url, headers)

    @staticmethod
    def _is_own(path: Path) -> bool:
        return any(path.is_relative_to(STATIC / folder) for folder in ("css", "fonts"))


def paper_html(paper: Paper) -> str:
    """Return the paper as the page that the PDF is drawn from."""
    return page_html(f"invoicing/{paper.kind}.html", {"paper": paper, "sheet": paper.data["sheet"]})


def page_html(template: str, context: dict[str, Any]) -> str:
    """Return a page in the style of the papers."""
    return render_to_string(template, context)


@dataclass(frozen=True, slots=True)
class Drawn:
    """A PDF and how many pages it has."""

    pdf: bytes
    pages: int


def draw(paper: Paper) -> Drawn:
    """Return the paper as a PDF/UA-1 file. The same paper gives the same bytes."""
    return draw_html(paper_html(paper))


def draw_html(html: str) -> Drawn:
    """Return a page in the style of the papers as a PDF.

    Raises
    ------
    PaperReachesOut
        If the page asks for anything but our own style sheet and fonts.
    """
    try:
        return _laid_out(html)
    except FatalURLFetchingError as error:  # No ordinary exception: it would stop a worker, not one paper.
        raise PaperReachesOut(str(error.__cause__ or error)) from None


def _laid_out(html: str) -> Drawn:
    with _one_at_a_time:
        page = HTML(string=html, base_url=STATIC.as_uri(), url_fetcher=OwnFilesOnly())
        laid_out = page.render(font_config=_fonts, stylesheets=[_stylesheet()], pdf_variant=VARIANT)
        return Drawn(laid_out.write_pdf(pdf_variant=VARIANT), len(laid_out.pages))


@cache
def _stylesheet() -> CSS:
    return CSS(filename=STYLESHEET, font_config=_fonts, url_fetcher=OwnFilesOnly())
