"""Take a job history in the exchange form (one JSON object a line) into the site."""

import shutil
import sys
import tempfile
import time
from contextlib import ExitStack, nullcontext
from dataclasses import asdict
from pathlib import Path

import simplejson
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from diagnostics.exchange.importing import import_jobs

MOST_FAULTS_IN_JSON = 1000
SECONDS_BETWEEN_PROGRESS = 1.0


class Command(BaseCommand):
    help = (
        "Take a job history in the exchange form into the site. Safe to run twice. "
        "Good lines are kept, each bad line is reported. Exit status 1 if a line was refused."
    )

    def add_arguments(self, parser):
        parser.add_argument("file", help="the history, one JSON object a line; - for standard input")
        parser.add_argument("--dry-run", action="store_true", help="look only, change nothing")
        parser.add_argument("--report", metavar="FILE", help="write the faults of refused lines to this file")
        parser.add_argument(
            "--all-or-nothing", action="store_true", help="keep nothing if one line is refused"
        )
        parser.add_argument(
            "--json", action="store_true", help="say what was done as JSON; report as JSON too"
        )

    def handle(self, *args, file, dry_run, report, all_or_nothing, json, verbosity, **options):
        with ExitStack() as stack:
            stream = stack.enter_context(_opened(file))
            faults = Faults(self.stderr, as_json=json, into=stack.enter_context(_written(report)))
            summary = import_jobs(
                stream,
                by=f"import of {Path(file).name}"[:150],
                at=timezone.now(),
                report=faults.add,
                progress=Progress(self.stderr, stream) if verbosity else lambda lines, position: None,
                dry_run=dry_run,
                all_or_nothing=all_or_nothing,
            )
        self.stdout.write(faults.as_answer(summary) if json else told(summary, dry_run=dry_run))
        if summary.refused:
            where = f"The reasons are in {report}." if report else "The reasons are given above."
            if json and not report:
                where = "The reasons are under faults."
            raise CommandError(f"{_lines(summary.refused)} refused. {where}", returncode=1)


class Faults:
    """Passes faults on as they come: to the report, or to the screen."""

    def __init__(self, stderr, *, as_json, into):
        self.stderr = stderr
        self.as_json = as_json
        self.into = into
        self.first = []

    def add(self, refusal):
        plain = {"line": refusal.line, "id": refusal.id, **asdict(refusal.fault)}
        if len(self.first) < MOST_FAULTS_IN_JSON:
            self.first.append(plain)
        if self.into:
            written = simplejson.dumps(plain, ensure_ascii=False) if self.as_json else str(refusal)
            self.into.write(f"{written}\n")
        elif not self.as_json:
            self.stderr.write(str(refusal), style_func=str)

    def as_answer(self, summary):
        answer = {
            **asdict(summary),
            "seconds": round(summary.seconds, 2),
            "lines_per_second": round(summary.lines_per_second, 1),
            "peak_memory_mb": round(summary.peak_memory_mb, 1),
            "faults": self.first,
        }
        return simplejson.dumps(answer, ensure_ascii=False)


class Progress:
    """Says on the error stream how far the import is, about once a second."""

    def __init__(self, stderr, stream):
        self.stderr = stderr
        self.size = stream.seek(0, 2)
        stream.seek(0)
        self.started = self.said = time.monotonic()

    def __call__(self, lines, position):
        now = time.monotonic()
        if now - self.said >= SECONDS_BETWEEN_PROGRESS:
            self.said = now
            share = 100 * position // self.size if self.size else 100
            pace = lines / (now - self.started)
            self.stderr.write(f"{lines:,} lines, {share} %, {pace:,.0f} lines/s", style_func=str)


def told(summary, *, dry_run):
    """Return the outcome in words."""
    counts = f"{summary.created} created, {summary.updated} updated, {summary.unchanged} unchanged"
    lists = ", ".join(
        _counted(getattr(summary, f"{noun}s"), noun) for noun in ("location", "instrument", "vehicle")
    )
    pace = (
        f"{summary.seconds:.1f} s, {summary.lines_per_second:,.0f} lines/s, {summary.peak_memory_mb:.0f} MB."
    )
    head = "Orders"
    if dry_run:
        head = "Nothing was changed. Orders that would be"
    elif not summary.kept:
        head = "Nothing was kept, because not all lines are good. Orders that would be"
    refused = f"{summary.refused} of {_counted(summary.lines, 'line')} refused"
    return f"{head}: {counts}; {refused}. Lists: {lists}. {pace}"


def _counted(count, noun):
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"


def _lines(count):
    return f"{count:,} lines were" if count != 1 else "1 line was"


def _opened(file):
    try:
        if file != "-":
            return Path(file).open("rb")
        copy = tempfile.TemporaryFile()  # noqa: SIM115  The caller closes it.
        shutil.copyfileobj(sys.stdin.buffer, copy)
        copy.seek(0)
        return copy
    except OSError as error:
        raise CommandError(f"'{file}' cannot be read: {error.strerror}.") from None


def _written(report):
    if not report:
        return nullcontext()
    try:
        return open(report, "w", encoding="utf-8")
    except OSError as error:
        raise CommandError(f"The report '{report}' cannot be written: {error.strerror}.") from None
