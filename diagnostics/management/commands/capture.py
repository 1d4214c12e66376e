import json
import time
from pathlib import Path

from django.core.management.base import BaseCommand, CommandError

from diagnostics.captures.analyse import BUSES, analyse
from diagnostics.captures.measured import PASSES
from diagnostics.captures.recording import AsRead, UnreadableCapture, open_recording

SILENT_SECONDS = 2  # A shorter wait needs no word.
BETWEEN_WORDS_SECONDS = 1


class Command(BaseCommand):
    help = (
        "Measure a recorded signal (CSV or text, WAV, VCD, sigrok session) and judge the state of each line."
    )

    def add_arguments(self, parser):
        parser.add_argument("file", metavar="FILE")
        parser.add_argument(
            "--battery-v", type=float, metavar="V", help="battery voltage taken at the same time"
        )
        parser.add_argument("--bus", choices=BUSES, default="none", help="what the lines are")
        parser.add_argument(
            "--volts-per-count", type=float, metavar="V", help="scale of a WAV or of columns without a unit"
        )
        parser.add_argument("--sample-rate", type=float, metavar="HZ", help="for a table without times")
        parser.add_argument("--unit", default="", help="unit of columns that name none")
        parser.add_argument("--time-unit", default="", help="unit of a time column that names none")
        parser.add_argument("--json", action="store_true", help="one JSON object")

    def handle(self, *args, file, battery_v, bus, json, **options):
        try:
            as_read = AsRead(
                options["volts_per_count"], options["sample_rate"], options["unit"], options["time_unit"]
            )
            recording = open_recording(Path(file), as_read=as_read)
            found = analyse(recording, battery_v=battery_v, bus=bus, progress=_Progress(self.stderr))
        except UnreadableCapture as refusal:
            raise CommandError(f"{file}: {refusal}") from None
        except OSError as fault:
            raise CommandError(f"{file} cannot be opened: {fault.strerror}. Check the path.") from None
        self._write_json(found) if json else self._write_text(found)

    def _write_json(self, found):
        self.stdout.write(json.dumps(found.as_dict(), ensure_ascii=False))

    def _write_text(self, found):
        self.stdout.write(f"{found.form}, {found.end - found.start:.6g} s")
        for remark in found.remarks:
            self.stdout.write(f"  note: {remark}")
        for measured, verdict in zip(found.channels, found.verdicts, strict=True):
            self.stdout.write(f"{measured.channel.name}: {verdict.words}")
            self.stdout.write(f"  rule: {verdict.rule}")
            for line in _figures(measured):
                self.stdout.write(f"  {line}")
            self._write_changes(verdict.changes)
        if found.pair:
            self.stdout.write(f"Both wires: {found.pair.words}")
            self.stdout.write(f"  rule: {found.pair.rule}")
        for line in found.traffic:
            self.stdout.write(f"Frames on {' and '.join(line.channels)}: {line.decoded.words}")
            for note in line.decoded.notes:
                self.stdout.write(f"  note: {note}")

    def _write_changes(self, changes, most=20):
        for change in changes[:most]:
            until = f" to {change.end:.6g} s" if change.end is not None else ""
            self.stdout.write(f"  {change.start:.6g} s{until}: {change.words}")
        if len(changes) > most:
            self.stdout.write(f"  and {len(changes) - most} more; --json lists them")


def _figures(measured):
    summary, timing, unit = measured.summary, measured.timing, measured.unit_words
    yield (
        f"{summary.least:.4g} to {summary.greatest:.4g}{unit}, mean {summary.mean:.4g}{unit}, "
        f"RMS {summary.rms:.4g}{unit}, ripple {summary.ripple:.4g}{unit} peak to peak"
    )
    yield f"{summary.count:,} samples, {summary.missing:,} missing in {summary.gap_count:,} gaps"
    if not measured.toggles:
        return
    levels = measured.levels
    yield f"levels {levels.low:.4g} and {levels.high:.4g}{unit}, {timing.transitions:,} edges"
    if timing.rises.count and timing.falls.count:
        yield f"rise {timing.rises.mean:.4g} s, fall {timing.falls.mean:.4g} s"
    if timing.periods.count:
        yield (
            f"period {timing.periods.mean:.6g} s, frequency {timing.frequency_hz:.6g} Hz, "
            f"duty cycle {100 * timing.duty:.4g} %"
        )


class _Progress:
    """Says on the error stream how far a long job has come."""

    def __init__(self, stream):
        self.stream, self.started, self.said = stream, time.monotonic(), 0.0

    def __call__(self, number, done):
        now = time.monotonic() - self.started
        if now > SILENT_SECONDS and now - self.said > BETWEEN_WORDS_SECONDS:
            self.said = now
            self.stream.write(f"pass {number} of {PASSES}: {done:,} samples")
