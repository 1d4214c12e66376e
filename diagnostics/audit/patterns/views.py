"""The pages of steps and of signals. The owner alone."""

from __future__ import annotations

from urllib.parse import urlencode

from django.http import Http404, HttpRequest, HttpResponseBase
from django.shortcuts import render
from django.views.decorators.http import require_safe

from diagnostics.audit import keeping
from diagnostics.audit.asked import asked_of
from diagnostics.audit.names import Names
from diagnostics.audit.pages.addresses import query_of
from diagnostics.audit.pages.files import csv_file
from diagnostics.audit.patterns import files, steps
from diagnostics.audit.patterns.signals import BATCH_RULE, MOST_ROWS, SIGNALS, shown_signals
from shared.access import roles


@roles("owner")
@require_safe
def steps_page(request: HttpRequest) -> HttpResponseBase:
    """Required steps and other gaps: which of them, left out, go with more comebacks."""
    asked = asked_of(request)
    answer = keeping.answer(steps.STEPS, asked.scope, since_is_usual=asked.since_is_usual)
    if answer is None:
        return render(request, "diagnostics/audit/being_counted.html", {"asked": asked})
    if _is_csv(request):
        return csv_file("steps", files.check_lines(answer.value))
    names, query = Names(), query_of(asked.scope)
    context = {
        "asked": asked,
        "answer": answer,
        "steps": steps.shown_table(answer.value.steps, names, query),
        "gaps": steps.shown_table(answer.value.gaps, names, query),
        "query": f"?{urlencode(query)}",
    }
    return render(request, "diagnostics/audit/steps.html", context)


@roles("owner")
@require_safe
def step_page(request: HttpRequest, code: str, phase: str) -> HttpResponseBase:
    """One step or gap: the comparison in full, its strata, and the jobs behind each."""
    if phase not in ("before", "after", steps.GAP):
        raise Http404
    asked = asked_of(request)
    answer = keeping.answer(steps.STEPS, asked.scope, since_is_usual=asked.since_is_usual)
    if answer is None:
        return render(request, "diagnostics/audit/being_counted.html", {"asked": asked})
    phase = "" if phase == steps.GAP else phase
    table = answer.value.steps if phase else answer.value.gaps
    row, names, query = table.row(code, phase), Names(), query_of(asked.scope)
    if row is not None and _is_csv(request):
        return csv_file("strata", files.cell_lines(row))
    cells = [] if row is None else list(steps.shown_cells(row, names, query))
    context = {
        "asked": asked,
        "answer": answer,
        "name": steps.name_of(code, phase, names),
        "phase": steps.PHASES[phase],
        "noun": "step" if phase else "gap",
        "table": table,
        "shown": row and steps.shown_row(row, table, names, query),
        "figures": row and steps.figures(row),
        "waived": row and steps.waived_side(row, query),
        "cells": cells[: steps.MOST_ROWS],
        "more_cells": cells[steps.MOST_ROWS :],
        "most": steps.axis_end(side for cell in cells[: steps.MOST_ROWS] for side in cell.sides),
    }
    return render(request, "diagnostics/audit/step.html", context)


@roles("owner")
@require_safe
def signals_page(request: HttpRequest) -> HttpResponseBase:
    """Has something changed? Months, the running sum, batches, vehicles that return, instruments."""
    asked = asked_of(request)
    answer = keeping.answer(SIGNALS, asked.scope, since_is_usual=asked.since_is_usual)
    if answer is None:
        return render(request, "diagnostics/audit/being_counted.html", {"asked": asked})
    if _is_csv(request):
        return csv_file("signals", files.signal_lines(answer.value))
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
