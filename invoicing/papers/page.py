"""What the page of one paper shows: the paper as it stands, what to know before issuing it, its versions."""

from __future__ import annotations

from dataclasses import dataclass

from invoicing import readability, sheets
from invoicing.findings import prose
from invoicing.issuing import being_made
from invoicing.models import IssuedDocument
from invoicing.warranty_note import NothingToPromise
from shop.models import RepairOrder


@dataclass(frozen=True, slots=True)
class Version:
    """One issued version and where its PDF stands: ready, making or failed."""

    document: IssuedDocument
    state: str


@dataclass(frozen=True, slots=True)
class Reading:
    """How hard the sheet is to read, and the sentences worth splitting."""

    grade: str
    is_hard: bool
    long_sentences: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PaperPage:
    """One paper of one order, for the person who issues it."""

    paper: sheets.Paper | None
    why_not: str
    versions: tuple[Version, ...]
    reading: Reading | None
    is_unchanged: bool


def paper_page(order: RepairOrder, kind: str) -> PaperPage:
    """Return what the page of one paper shows."""
    versions = _versions(order, kind)
    try:
        paper, reading = _as_it_stands(order, kind)
    except NothingToPromise as reason:
        return PaperPage(None, str(reason), versions, None, is_unchanged=False)
    return PaperPage(paper, "", versions, reading, is_unchanged=_is_unchanged(paper, versions))


def _as_it_stands(order, kind):
    if kind == "warranty":
        return sheets.current_paper(order, kind), None
    sheet = sheets.current_findings(order)
    return sheets.paper_of(order, kind, sheet), _reading(sheet)


def _reading(sheet):
    texts = prose(sheet)
    names = {word for text in (sheet.customer, sheet.vehicle, sheet.shop.name) for word in text.split()}
    score = readability.measure(texts, names=names)
    if score is None:
        return None
    return Reading(
        grade=f"{score.grade:.1f}",
        is_hard=score.is_hard,
        long_sentences=tuple(readability.long_sentences(texts)[:3]),
    )


def _versions(order, kind):
    documents = list(order.documents.filter(kind=kind).defer("pdf"))
    asked = being_made() if any(document.made_at is None for document in documents) else set()
    return tuple(Version(document, _state(document, asked)) for document in documents)


def _state(document, asked):
    if document.made_at:
        return "ready"
    return "making" if document.pk in asked else "failed"


def _is_unchanged(paper, versions):
    if not versions:
        return False
    was = versions[0].document.data["sheet"]
    return sheets.canonical(was) == sheets.canonical(paper.data["sheet"])
