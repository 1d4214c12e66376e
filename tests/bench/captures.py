"""A recorded signal measured from its file, beside NumPy reading the same file whole into memory."""

import wave

import numpy as np

from tests.bench.shop import run_child
from tests.bench.timing import Comparison

MOST_REPEATS = 3
BLOCK = 500_000  # Samples written at once
RATE_HZ = 1_000_000
PERIOD_SAMPLES = 1000
SEED = 5
COUNTS_A_VOLT = 4000


def measure(shop, repeats):
    files = {
        "WAV of 16 bits": write_wav(shop.folder / "bench.wav", shop.samples),
        "CSV": write_csv(shop.folder / "bench.csv", shop.samples),
    }
    found = []
    for name, path in files.items():
        found.append(_compared(shop, name, path, min(repeats, MOST_REPEATS)))
        path.unlink()
    return found


def _compared(shop, name, path, repeats):
    ours, plain = [], []
    for _ in range(repeats):
        ours.append(run_child(shop.empty, "capture", str(path)))
        plain.append(run_child(shop.empty, "read_numbers", str(path)))
    assert ours[0]["samples"] == plain[0]["samples"] == shop.samples, (ours[0], plain[0])
    peaks = [max(each["peak_mb"] for each in side) for side in (ours, plain)]
    size = path.stat().st_size / 1e6
    return Comparison(
        f"capture, {name}",
        [each["seconds"] for each in ours],
        "NumPy reads it whole",
        [each["seconds"] for each in plain],
        shop.samples,
        f"{size:,.0f} MB; peak {peaks[0]:,.0f} MB, NumPy {peaks[1]:,.0f} MB; {ours[0]['edges']:,} edges",
    )


def write_wav(path, samples):
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE_HZ)
        for _, volts in _blocks(samples):
            file.writeframesraw((volts * COUNTS_A_VOLT).astype("<i2").tobytes())
    return path


def write_csv(path, samples):
    with path.open("w", encoding="ascii") as file:
        file.write("Time (s),CH1 (V)\n")
        for first, volts in _blocks(samples):
            times = (first + np.arange(len(volts))) / RATE_HZ
            lines = (
                f"{time:.6f},{value:.4f}" for time, value in zip(times.tolist(), volts.tolist(), strict=True)
            )
            file.write("\n".join(lines) + "\n")
    return path


def _blocks(samples):
    """Yield a duty cycle of 30 % at 1 kHz with 1 % of noise, block by block."""
    random = np.random.default_rng(SEED)
    for first in range(0, samples, BLOCK):
        at = np.arange(first, min(samples, first + BLOCK))
        volts = np.where(at % PERIOD_SAMPLES < 0.3 * PERIOD_SAMPLES, 5.0, 0.0)
        yield first, volts + random.normal(0, 0.05, len(at))
