"""How much memory this process has held at most."""

from __future__ import annotations

import resource
import sys
from pathlib import Path

_STATUS = Path("/proc/self/status")


def peak_mb() -> float:
    """Return the most memory that this process held at once. [MB, 10^6 bytes]

    Linux counts what the starting process held into `ru_maxrss`; its own mark is in `VmHWM`.
    """
    if _STATUS.exists():
        held = next(line for line in _STATUS.read_text().splitlines() if line.startswith("VmHWM"))
        return int(held.split()[1]) * 1024 / 1e6
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return peak / 1e6 if sys.platform == "darwin" else peak * 1024 / 1e6
