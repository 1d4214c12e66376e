"""Frames while a signal of a million points is moved, beside the same page at rest."""

import io
import os
import shutil
import sys
import wave

import numpy as np
from django.test import Client
from django.test.testcases import LiveServerThread, _StaticFilesHandler
from django.utils import timezone

from diagnostics import recording
from diagnostics.recording.captures import shelf
from diagnostics.signals.reading import read_signal
from shop.models import RepairOrder
from tests.bench.pages import _owner
from tests.bench.timing import Comparison, in_turns

SAMPLES, CHANNELS, RATE = 1_000_000, 2, 500_000
FRAMES = 180
SHARES = (1 / 2, 1 / 100, 1 / 10_000)  # Of the whole that is in sight while it moves.
WINDOWS = 50
# One step a frame: turns round at either end, so that new tiles come in all the time.
MOVE = """async ([frames, share]) => {
  const drawing = document.querySelector("[data-signal]").drawing;
  drawing.show(drawing.since, drawing.since + (drawing.until - drawing.since) * share);
  await new Promise((rest) => setTimeout(rest, 500));
  const taken = [];
  let last = 0, way = 1;
  await new Promise((done) => {
    const step = (now) => {
      if (last) taken.push((now - last) / 1000);
      last = now;
      if (drawing.to >= drawing.until) way = -1;
      if (drawing.from <= drawing.since) way = 1;
      drawing.show(drawing.from + way * drawing.span * 0.02, drawing.to + way * drawing.span * 0.02);
      if (taken.length < frames) requestAnimationFrame(step);
      else done();
    };
    requestAnimationFrame(step);
  });
  return taken;
}"""
REST = """(frames) => new Promise((done) => {
  const taken = [];
  let last = 0;
  const step = (now) => {
    if (last) taken.push((now - last) / 1000);
    last = now;
    if (taken.length < frames) requestAnimationFrame(step);
    else done(taken);
  };
  requestAnimationFrame(step);
})"""


def measure(shop, repeats):
    chromium = os.environ.get("CHROMIUM") or shutil.which("chromium")
    capture = _recorded()
    found = [_windows(capture, repeats)]
    if not chromium:
        print("There is no Chromium: frames are left out", file=sys.stderr)
        return found
    # The browser's own loop runs in this thread; the code beside it is plain.
    os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "1")
    server = LiveServerThread("localhost", _StaticFilesHandler)
    server.daemon = True
    server.start()
    server.is_ready.wait()
    try:
        return found + _frames(chromium, f"http://localhost:{server.port}", capture)
    finally:
        server.terminate()
        server.join()


def _recorded():
    """A recording of two channels, read and drawn."""
    at = timezone.now()
    order = RepairOrder.objects.filter(returned_on__isnull=True).first()
    if order is None:
        order = RepairOrder.objects.order_by("-pk")[0]
        RepairOrder.objects.filter(pk=order.pk).update(returned_on=None, returned_at=None)
        order.refresh_from_db()
    capture = recording.add_capture(
        order, by=_owner(), at=at, file=_wave(), name="bench.wav", title="Bench", phase="before"
    )
    read_signal(capture.pk, at=at)
    capture.refresh_from_db()
    return capture


def _wave():
    times = np.arange(SAMPLES) / RATE
    noise = np.random.default_rng(7).normal(0, 0.02, SAMPLES)
    square = 0.4 * np.sign(np.sin(2 * np.pi * 120 * times)) + noise
    ripple = 0.5 + 0.1 * np.abs(np.sin(2 * np.pi * 300 * times)) + noise
    counts = (np.clip(np.stack([square, ripple], axis=1), -1, 1) * 32767).astype("<i2")
    made = io.BytesIO()
    with wave.open(made, "wb") as file:
        file.setnchannels(CHANNELS)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes(counts.tobytes())
    made.seek(0)
    return made


def _windows(capture, repeats):
    """A window from the pyramid, beside one made by looking at every sample of it."""
    from diagnostics.captures.pyramid import Pyramid

    folder = shelf().drawn(capture.sha256, capture.pk)
    edges = np.linspace(0, SAMPLES, 1025).astype(int)[:-1]

    def quick():
        for _ in range(WINDOWS):
            Pyramid(folder).window(0, SAMPLES / RATE, 1024).packed()

    def plain():
        for _ in range(WINDOWS):
            for channel in range(CHANNELS):
                values = np.fromfile(folder / f"channel-{channel}-level-0", "<f4")
                np.minimum.reduceat(values, edges), np.maximum.reduceat(values, edges)

    taken, yardstick = in_turns(repeats, quick, plain)
    return Comparison("window of 1024 columns", taken, "read and look at every sample", yardstick, WINDOWS)


def _frames(chromium, site, capture):
    from playwright.sync_api import sync_playwright

    from tests.browser.people import CHROMIUM_ARGS

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=CHROMIUM_ARGS)
        page = browser.new_context(base_url=site, viewport={"width": 1440, "height": 900}).new_page()
        page.context.add_cookies([_session(site)])
        page.goto(capture.get_absolute_url())
        page.locator(".signal[data-ready]").wait_for()
        found = []
        for share in SHARES:
            resting = page.evaluate(REST, FRAMES)
            moving = page.evaluate(MOVE, [FRAMES, share])
            found.append(_comparison(share, moving, resting))
        browser.close()
    return found


def _session(site):
    from django.conf import settings

    client = Client()
    client.force_login(_owner(), backend="django.contrib.auth.backends.ModelBackend")
    name = settings.SESSION_COOKIE_NAME
    return {"name": name, "value": client.cookies[name].value, "url": site}


def _comparison(share, moving, resting):
    moving, resting = sorted(moving), sorted(resting)
    late, usual = (sorted_[int(len(sorted_) * 0.95)] * 1000 for sorted_ in (moving, resting))
    note = f"95 %: {late:.1f} ms, at rest {usual:.1f} ms; {SAMPLES:,} samples of {CHANNELS} channels"
    return Comparison(f"frame, 1/{round(1 / share)} in sight", moving, "page at rest", resting, note=note)
