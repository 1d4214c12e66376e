"""Tables of the audit as files."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator
from io import StringIO
from typing import Any

from django.http import StreamingHttpResponse

from shared.lists import CSV_MEDIA_TYPE, safe_cell


def csv_file(name: str, rows: Iterable[Iterable[Any]]) -> StreamingHttpResponse:
    """Return rows as a CSV file that a spreadsheet opens without taking a cell for a formula."""
    response = StreamingHttpResponse(_lines(rows), content_type=CSV_MEDIA_TYPE)
    response["Content-Disposition"] = f'attachment; filename="{name}.csv"'
    return response


def _lines(rows: Iterable[Iterable[Any]]) -> Iterator[str]:
    yield "\ufeff"
    for row in rows:
        line = StringIO()
        csv.writer(line).writerow([safe_cell(cell) for cell in row])
        yield line.getvalue()
