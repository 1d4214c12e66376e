"""A process that computes beside another one must not outlive it."""

import os
import signal
import subprocess
import sys
import time
from contextlib import suppress
from pathlib import Path

import pytest

ASKING = """
import multiprocessing, os, time
from concurrent.futures import ProcessPoolExecutor
from shared import beside

if __name__ == "__main__":
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(1, mp_context=context, initializer=beside.start) as pool:
        print(pool.submit(os.getpid).result(), flush=True)
        pool.submit(time.sleep, 300)
        time.sleep(300)
"""
MOST_SECONDS = 30

pytestmark = pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="looks into /proc")


def is_alive(pid):
    with suppress(FileNotFoundError, ProcessLookupError), open(f"/proc/{pid}/stat", encoding="ascii") as stat:
        return stat.read().rpartition(")")[2].split()[0] != "Z"
    return False


def test_a_process_ends_when_the_one_that_asked_is_killed(tmp_path):
    script = tmp_path / "asking.py"
    script.write_text(ASKING)
    here = {**os.environ, "PYTHONPATH": os.getcwd(), "DJANGO_SETTINGS_MODULE": "shared.settings"}
    with subprocess.Popen(
        [sys.executable, str(script)], env=here, stdout=subprocess.PIPE, text=True
    ) as asking:
        beside = int(asking.stdout.readline())
        assert is_alive(beside)
        asking.send_signal(signal.SIGKILL)
        asking.wait()

    ends = time.monotonic() + MOST_SECONDS
    while is_alive(beside) and time.monotonic() < ends:
        time.sleep(0.05)
    assert not is_alive(beside)
