"""One way to make a list page: filtered, sorted, in pages, and as CSV."""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from django.http import StreamingHttpResponse
from django.utils.functional import cached_property
from django_filters.views import FilterView

ROWS_A_PAGE = 50
CSV_CHUNK = 500
CSV_MEDIA_TYPE = "text/csv; charset=utf-8"
STARTS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r")


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a list.

    key : name in the address (`?sort=key`) and in the CSV head.
    label : head of the column on the page.
    value : gives the CSV cell of one row.
    sort : the fields to order by, none where the column cannot be sorted.
    is_number : whether the page sets it to the end.
    """

    key: str
    label: str
    value: Callable[[Any], Any]
    sort: tuple[str, ...] = ()
    is_number: bool = False


class ListPage(FilterView):
    """A list: give `model` or `queryset`, `filterset_class`, `columns`, `template_name`.

    The template gets `page_obj`, `columns` (draw their heads with `parts/_heads.html`), `filter`,
    `rows`, `total` and `is_filtered`. `rows_for(records)` may turn the records of one page into what
    the template prints.
    """

    columns: tuple[Column, ...] = ()
    default_sort = ""
    paginate_by = ROWS_A_PAGE
    strict = False
    csv_name = "list"

    def get(self, request, *args, **kwargs):
        if request.GET.get("format") == "csv":
            return self._csv()
        return super().get(request, *args, **kwargs)

    def get_queryset(self):
        return super().get_queryset().order_by(*self._order_by)

    def paginate_queryset(self, queryset, page_size):
        """Return the page asked for; a number past the end shows the last page, not an error."""
        paginator = self.get_paginator(queryset, page_size)
        page = paginator.get_page(self.request.GET.get(self.page_kwarg))
        return paginator, page, page.object_list, page.has_other_pages()

    def get_context_data(self, **kwargs):
        context = super().get_context_data(**kwargs)
        page = context["page_obj"]
        return context | {
            "columns": self.columns,
            "rows": self.rows_for(page.object_list),
            "total": page.paginator.count,
            "is_filtered": any(
                value for key, value in self.request.GET.items() if key not in ("sort", "page")
            ),
        }

    def rows_for(self, records: Iterable[Any]) -> list[Any]:
        """Return what the template prints for the records of one page."""
        return list(records)

    @cached_property
    def _sort(self) -> tuple[str, bool]:
        wanted = self.request.GET.get("sort", "") or self.default_sort
        return wanted.removeprefix("-"), wanted.startswith("-")

    @property
    def _order_by(self) -> list[str]:
        key, is_down = self._sort
        fields = next((column.sort for column in self.columns if column.key == key), ())
        flipped = [_flip(field) for field in fields] if is_down else list(fields)
        return [*flipped, "-pk" if is_down else "pk"]

    def _csv(self):
        filterset = self.get_filterset(self.get_filterset_class())
        records = filterset.qs.iterator(chunk_size=CSV_CHUNK)
        response = StreamingHttpResponse(self._csv_lines(records), content_type=CSV_MEDIA_TYPE)
        response["Content-Disposition"] = f'attachment; filename="{self.csv_name}.csv"'
        return response

    def _csv_lines(self, records: Iterable[Any]) -> Iterable[str]:
        writer = csv.writer(_Echo())
        yield "\ufeff" + writer.writerow([column.key for column in self.columns])
        for record in records:
            yield writer.writerow([safe_cell(column.value(record)) for column in self.columns])


def safe_cell(value: Any) -> Any:
    """Return a CSV cell that no spreadsheet takes for a formula."""
    if isinstance(value, str) and value.startswith(STARTS_A_FORMULA):
        return f"'{value}"
    return "" if value is None else value


def _flip(field: str) -> str:
    return field.removeprefix("-") if field.startswith("-") else f"-{field}"


class _Echo:
    def write(self, line: str) -> str:
        return line
