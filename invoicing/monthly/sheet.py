"""A report as it is drawn and named, from the data that was kept."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from diagnostics.audit.curve import ComebackCurve
from diagnostics.audit.drawing import Chart, curve_drawing
from diagnostics.audit.plain_values import from_plain
from invoicing.monthly.dates import month_name


@dataclass(frozen=True, slots=True)
class ReportPaper:
    """What the page of the PDF asks of a report."""

    name: str
    title: str
    mark: str


def paper_of(data: Mapping[str, Any]) -> dict[str, Any]:
    """Return the context of the page."""
    name = name_of(data)
    counted = date.fromisoformat(data["as_of"])
    mark = f"{name}, counted on {counted.day} {counted:%B %Y}"
    return {
        "paper": ReportPaper(name, f"{name}, {data['shop']}", mark),
        "sheet": data,
        "counted": counted,
        "since": date.fromisoformat(data["since"]),
        "curve": _curve(data),
    }


def _curve(data: Mapping[str, Any]) -> Chart | None:
    found = from_plain(ComebackCurve, data["curve"])
    if not found.drawn_to:
        return None
    return curve_drawing(
        found.points, drawn_to=found.drawn_to, marks=(30, found.window_days), last_day=found.window_days
    )


def name_of(data: Mapping[str, Any]) -> str:
    """Return "What came back: October 2026"."""
    return f"What came back: {month_name(date.fromisoformat(data['month']))}"


def subject_of(data: Mapping[str, Any]) -> str:
    """Return the subject of the letter."""
    return f"{name_of(data)}, {data['shop']}"


def summary_of(data: Mapping[str, Any]) -> str:
    """Return the text of the letter: the three answers, the limits of what is known, where to read on."""
    answers = "\n\n".join(f"{row['question']}\n{row['answer']}" for row in data["answers"])
    ends = "\n".join(data["limits"])
    return f"{answers}\n\n{ends}\n\nThe report is attached. Read on: {data['address']}\n"
