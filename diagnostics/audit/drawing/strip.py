"""An interval as a strip in a row of a table."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from shared.scales import positions


class Share(Protocol):
    """A share with its interval, each from 0 to 1."""

    @property
    def share(self) -> float: ...
    @property
    def low(self) -> float: ...
    @property
    def high(self) -> float: ...


@dataclass(frozen=True, slots=True)
class Strip:
    """Where the value and its interval stand. [%]"""

    at: float
    start: float
    width: float


def strip(share: Share, most: float) -> Strip:
    """Return the strip of a share on a scale from 0 to `most`, a share from 0 to 1."""
    at, start, end = positions((share.share, share.low, share.high), most)
    return Strip(at, start, round(end - start, 2))
