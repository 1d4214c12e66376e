"""The pages of steps and of signals. The owner alone."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from diagnostics.audit import keeping
from diagnostics.audit.asked import asked_of
from diagnostics.audit.names import Names
from diagnostics.audit.pages.addresses import query_of
from diagnostics.audit.patterns import files, steps
from diagnostics.audit.patterns.signals import BATCH_RULE, MOST_ROWS, SIGNALS, shown_signals
from shared.access import roles
from shared.lists import CSV_MEDIA_TYPE, safe_cell


@roles("owner")
@require_safe
def steps_page(request: HttpRequest) -> HttpResponse:
    """Required steps and other gaps: which of them, left out, go with more comebacks."""
    asked = asked_of(request)
    answer = keeping.answer(steps.STEPS, asked.scope, since_is_usual=asked.since_is_usual)
    if _is_csv(request):
        return _csv("steps", files.check_lines(answer.value))
    names, query = Names(), query_of(asked.scope)
    context = {
        "asked": asked,
        "answer": answer,
        "steps": steps.shown_table(answer.value.steps, names, query),
        "gaps": steps.shown_table(answer.value.gaps, names, query),
    }
    return render(request, "diagnostics/audit/steps.html", context)


@roles("owner")
@require_safe
def step_page(request: HttpRequest, code: str, phase: str) -> HttpResponse:
    """One step or gap: the comparison in full, its strata, and the jobs behind each."""
    if phase not in ("before", "after", steps.GAP):
        raise Http404
    asked = asked_of(request)
    answer = keeping.answer(steps.STEPS, asked.scope, since_is_usual=asked.since_is_usual)
    phase = "" if phase == steps.GAP else phase
    table = answer.value.steps if phase else answer.value.gaps
    row, names, query = table.row(code, phase), Names(), query_of(asked.scope)
    if row is not None and _is_csv(request):
        return _csv("strata", files.cell_lines(row))
    cells = [] if row is None else list(steps.shown_cells(row, names, query))
    context = {
        "asked": asked,
        "answer": answer,
        "name": steps.name_of(code, phase, names),
        "phase": steps.PHASES[phase],
        "table": table,
        "shown": row and steps.shown_row(row, table, names, query),
        "figures": row and steps.figures(row),
        "waived": row and steps.waived_side(row, query),
        "cells": cells,
        "most": steps.axis_end(side for cell in cells for side in cell.sides),
    }
    return render(request, "diagnostics/audit/step.html", context)


@roles("owner")
@require_safe
def signals_page(request: HttpRequest) -> HttpResponse:
    """Has something changed? Months, the running sum, batches, vehicles that return, instruments."""
    asked = asked_of(request)
    answer = keeping.answer(SIGNALS, asked.scope, since_is_usual=asked.since_is_usual)
    if _is_csv(request):
        return _csv("signals", files.signal_lines(answer.value))
    context = {
        "asked": asked,
        "answer": answer,
        "found": answer.value,
        "shown": shown_signals(answer.value, query_of(asked.scope)),
        "batch_rule": BATCH_RULE,
        "most_rows": MOST_ROWS,
    }
    return render(request, "diagnostics/audit/signals.html", context)


def _is_csv(request: HttpRequest) -> bool:
    return request.GET.get("format") == "csv"


def _csv(name: str, lines: Iterable[Iterable[Any]]) -> HttpResponse:
    text = io.StringIO()
    csv.writer(text).writerows([safe_cell(cell) for cell in line] for line in lines)
    response = HttpResponse("\ufeff" + text.getvalue(), content_type=CSV_MEDIA_TYPE)
    response["Content-Disposition"] = f'attachment; filename="{name}.csv"'
    return response
