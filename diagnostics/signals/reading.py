"""Reads a recorded signal in the background: checks the file, has it digested apart, keeps the outcome."""

from __future__ import annotations

import shutil
import tempfile
from datetime import datetime, timedelta
from decimal import Decimal
from pathlib import Path

from diagnostics.captures.digest import Asked, CannotBeRead, digest_apart, progress
from diagnostics.models import Capture
from diagnostics.recording.captures import finish_capture, refuse_capture, shelf

FOLDER = "reading-"
ABANDONED_AFTER = timedelta(days=1)


def read_signal(capture_pk: int, *, at: datetime) -> None:
    """Compute everything from one recording; nothing if it is read already. Safe to run twice.

    A file that is missing or damaged raises: it may come back from a backup, and then is read again.
    """
    capture = Capture.objects.get(pk=capture_pk)
    if capture.status != Capture.Status.WAITING:
        return
    kept = shelf()
    folder = Path(tempfile.mkdtemp(prefix=f"{FOLDER}{capture.pk}-", dir=kept.coming))
    try:
        found = digest_apart(
            kept.checked(capture.sha256),
            folder,
            asked=Asked(
                name=capture.original_name,
                battery_v=_float(capture.battery_v),
                bus=capture.bus,
                volts_per_count=_float(capture.volts_per_count),
                sample_rate_hz=_float(capture.sample_rate_hz),
            ),
        )
        kept.put_drawn(capture.sha256, capture.pk, folder)
        finish_capture(capture, at=at, analysis=found.analysis, overview=found.overview)
    except CannotBeRead as refused:
        refuse_capture(capture, at=at, why=refused.message, allowed=refused.allowed)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def share_read(capture_pk: int) -> float | None:
    """Return how much of a recording is read, 0 to 1; None where it cannot be told."""
    folders = shelf().coming.glob(f"{FOLDER}{capture_pk}-*")
    return max((share for folder in folders if (share := progress(folder)) is not None), default=None)


def sweep(*, at: datetime) -> None:
    """Remove what was being made when a process was killed, and files that no record names."""
    kept = shelf()
    before = (at - ABANDONED_AFTER).timestamp()
    for path in kept.coming.iterdir():
        if path.stat().st_mtime < before:
            shutil.rmtree(path) if path.is_dir() else path.unlink()
    named = set(Capture.objects.exclude(status=Capture.Status.REFUSED).values_list("sha256", flat=True))
    for path in kept.root.glob("??/*"):
        sha256 = path.name.partition(".")[0]
        if sha256 not in named and path.stat().st_mtime < before:
            kept.remove(sha256)


def _float(value: Decimal | None) -> float | None:
    return None if value is None else float(value)
