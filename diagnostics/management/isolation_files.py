"""Reads the files that the commands about finding a fault are given, and writes their tables."""

from pathlib import Path

from django.core.management.base import CommandError

from diagnostics.isolation.asked import Desk, history_of
from shared.answer_lines import read_json
from shared.computing import Refused

HISTORY_FORM = '[{"test": id, "outcome": id}, …]'


def opened(problem_path, history_path):
    """Return the problem and the history that two files hold; the second may be none.

    A refusal names the file.
    """
    problem = Desk().problem(_json_of(problem_path, "problem"))
    if not history_path:
        return problem, ()
    given = _json_of(history_path, "history")
    if isinstance(given, dict) and "history" in given:
        given = given["history"]
    return problem, history_of(problem, given)


def refused_in_words(refused):
    """Return a refusal as the error of a command."""
    allowed = f" Allowed: {refused.allowed}." if refused.allowed else ""
    return CommandError(f"{refused.field}: {refused.message}{allowed}")


def table(rows):
    """Return lines of columns, all but the last to the right."""
    widths = [max(len(row[place]) for row in rows) for place in range(len(rows[0]) - 1)]
    for row in rows:
        cells = [cell.rjust(width) for cell, width in zip(row, widths, strict=False)]
        yield "  ".join(["", *cells, row[-1]])


def _json_of(path, what):
    try:
        text = Path(path).read_bytes()
    except OSError as fault:
        raise CommandError(f"{path} cannot be opened: {fault.strerror}. Check the path.") from None
    form = HISTORY_FORM if what == "history" else "isolation-problem/1"
    try:
        return read_json(text, field=what, allowed=form)
    except Refused as refused:
        raise Refused(what, f"{path}: {refused.message}", refused.allowed) from None
