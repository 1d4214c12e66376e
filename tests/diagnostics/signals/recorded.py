"""Recorded signals for tests: small files of each kind, and records that are read already."""

import io
import math
import wave
import zipfile

import numpy as np

from diagnostics.captures import drawing
from diagnostics.captures.analyse import analyse
from diagnostics.captures.digest import shortened
from diagnostics.captures.pyramid import build
from diagnostics.captures.samples import Channel, held_in_memory
from diagnostics.recording.captures import shelf
from tests.factories import CaptureFactory

NAMES = ("A", "B", "C", "D")


def csv_text(rows=200, dt=0.001):
    """A square and a slow sine, as an instrument exports them."""
    lines = ["Time (s),A (V),B (V)"]
    for n in range(rows):
        lines.append(f"{n * dt:.4f},{5 if n // 10 % 2 else 0},{12.5 + math.sin(n / 30):.3f}")
    return "\n".join(lines).encode()


def wav_bytes(frames=500, rate=1000):
    made = io.BytesIO()
    with wave.open(made, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(rate)
        file.writeframes(b"".join((1000 * (n % 7)).to_bytes(2, "little") for n in range(frames)))
    return made.getvalue()


def zip_of(**members):
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members.items():
            archive.writestr(name, content)
    return made.getvalue()


def ready_capture(values=None, *, dt=0.001, order=None, analysis=None, **about):
    """A recording that is read: its file on the shelf, its pyramid beside it."""
    values = np.atleast_2d(np.arange(1000.0) if values is None else values)
    kept = shelf().take_in(io.BytesIO(values.tobytes()))
    made = {"order": order} if order else {}
    capture = CaptureFactory(sha256=kept.sha256, size=kept.size, **made, **about)
    folder = shelf().drawn(kept.sha256, capture.pk)
    folder.mkdir()
    built = build(folder, [(None, values)], channels=len(values), start=0.0, dt=dt)
    window = built.columns(built.start, built.end, drawing.COLUMNS)
    lanes = [
        drawing.Lane(name, "V", tuple(low.tolist()), tuple(high.tolist()))
        for name, low, high in zip(NAMES, window.low, window.high, strict=False)
    ]
    shown = drawing.Picture(built.start, built.end, tuple(lanes))
    channels = [Channel(name, "V") for name, _ in zip(NAMES, values, strict=False)]
    found = shortened(analyse(held_in_memory(channels, values, dt=dt)).as_dict())
    type(capture).objects.filter(pk=capture.pk).update(
        status="ready",
        analysis={**found, **(analysis or {})},
        overview=drawing.as_overview(shown, built.samples),
        computed_at=capture.entered_at,
    )
    capture.refresh_from_db()
    return capture
