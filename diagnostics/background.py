"""Background work of this room, by the kind that the outbox names."""

from django.utils import timezone

from diagnostics import watching
from diagnostics.audit.keeping import COUNT_AGAIN, count_again
from diagnostics.recording.captures import READ_CAPTURE
from diagnostics.signals.reading import read_signal, sweep
from diagnostics.similar import hits, indexing
from shared.outbox import handles, hold


@handles(watching.RECOUNT, daily=True)
def recount(asked_by=""):
    """Compute anew what the audit counts."""
    watching.recount(
        at=timezone.now(),
        asked_by=asked_by,
        processes=watching.usual_processes(),
        progress=lambda done, total: hold(watching.RECOUNT, now=timezone.now()),
    )


@handles(READ_CAPTURE)
def read_capture(capture_pk):
    """Read a recorded signal and keep what is computed from it."""
    read_signal(capture_pk, at=timezone.now())


@handles("sweep_captures", daily=True)
def sweep_captures():
    """Throw away files of uploads that never became a record."""
    sweep(at=timezone.now())


@handles("index_jobs", daily=True)
def index_jobs():
    """Write down the words of jobs that have none, and measure how often likeness leads to the cause."""
    indexing.index_missing()
    hits.keep_hits(at=timezone.now())


@handles(COUNT_AGAIN)
def count_audit_again(name, key, scope):
    """Count a kept answer of the audit anew."""
    count_again(name, key, scope)
