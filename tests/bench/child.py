"""What is done in a process of its own: to fill a site, to see the memory it took, to start cold."""

import json
import os
import sys
import time
from pathlib import Path

from shared import memory


def main(act, *given):
    started = time.perf_counter()
    said = ACTS[act](*given) or {}
    said["seconds"] = said.get("seconds") or time.perf_counter() - started
    said["peak_mb"] = memory.peak_mb()
    print(json.dumps(said))


def prepare():
    """Make an empty site, with the static files in place."""
    _start()
    from django.core.management import call_command

    call_command("migrate", verbosity=0)
    call_command("collectstatic", interactive=False, verbosity=0)
    _leave_no_log()


def idle():
    """Start and do nothing: the memory that an import has before it begins."""
    _start()
    import diagnostics.exchange.importing  # noqa: F401


def import_history(path):
    """Take a history in."""
    _start()
    from django.utils import timezone

    from diagnostics.exchange.importing import import_jobs

    with open(path, "rb") as stream:
        summary = import_jobs(stream, by="bench", at=timezone.now(), report=print)
    _leave_no_log()
    return {"seconds": summary.seconds, "created": summary.created, "refused": summary.refused}


def audit(orders, repeats, url):
    """Fill the site with a large history, if it has none, and count what the audit counts."""
    if url:
        os.environ["DATABASE_URL"] = url
    _start()
    from tests.bench import audit_acts

    said = audit_acts.run(int(orders), int(repeats))
    if not url:
        _leave_no_log()
    return said


def draw_sheet(pk):
    """Draw one findings sheet, from the start of the process."""
    _start()
    from invoicing.rendering import draw
    from invoicing.sheets import current_paper
    from shop.models import RepairOrder

    draw(current_paper(RepairOrder.objects.get(pk=pk), "findings"))


def draw_plain(path):
    """Draw a plain page with the PDF engine alone, from the start of the process."""
    from weasyprint import HTML

    HTML(string=Path(path).read_text(encoding="utf-8")).write_pdf()


def capture(path):
    """Measure a recorded signal, without a site."""
    from diagnostics.captures.analyse import analyse
    from diagnostics.captures.recording import open_recording

    started = time.perf_counter()
    (measured,) = analyse(open_recording(path), battery_v=12.6).channels
    seconds = time.perf_counter() - started
    return {
        "seconds": seconds,
        "samples": measured.summary.count,
        "edges": measured.timing.transitions,
    }


def read_numbers(path):
    """Read the same file as NumPy does, whole, and take its mean."""
    import numpy as np

    started = time.perf_counter()
    if path.endswith(".csv"):
        values = np.loadtxt(path, delimiter=",", skiprows=1)[:, 1]
    else:
        values = np.fromfile(path, "<i2", offset=44).astype(np.float64)
    values.mean()
    return {"seconds": time.perf_counter() - started, "samples": len(values)}


def _start():
    import django

    django.setup()


def _leave_no_log():
    """Write the log of the database back, so that its file alone can be copied."""
    from django.db import connection

    with connection.cursor() as cursor:
        cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()


ACTS = {
    "prepare": prepare,
    "idle": idle,
    "import": import_history,
    "audit": audit,
    "sheet": draw_sheet,
    "plain": draw_plain,
    "capture": capture,
    "read_numbers": read_numbers,
}

if __name__ == "__main__":
    main(*sys.argv[1:])
