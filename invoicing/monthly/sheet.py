"""How a report is named, in a letter and at its head. Pure: from the data that was kept."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any


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
    mark = f"{name}, counted on {counted:%-d %B %Y}"
    return {"paper": ReportPaper(name, f"{name}, {data['shop']}", mark), "sheet": data}


def name_of(data: Mapping[str, Any]) -> str:
    """Return "What came back: October 2026"."""
    return f"What came back: {date.fromisoformat(data['month']):%B %Y}"


def subject_of(data: Mapping[str, Any]) -> str:
    """Return the subject of the letter."""
    return f"{name_of(data)}, {data['shop']}"


def summary_of(data: Mapping[str, Any]) -> str:
    """Return the text of the letter: the three answers, the limits of what is known, where to read on."""
    answers = "\n\n".join(f"{row['question']}\n{row['answer']}" for row in data["answers"])
    ends = "\n".join(data["limits"])
    return f"{answers}\n\n{ends}\n\nThe report is attached. Read on: {data['address']}\n"
