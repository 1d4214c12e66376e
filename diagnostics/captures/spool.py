"""Keep the numbers of a text file at hand while it is gone through several times.

Reading text is what takes longest. The first pass writes plain doubles into a file without a name, which the
next ones read; the system takes it away when it is closed, and memory holds one chunk at a time.
"""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from typing import IO

import numpy as np

from diagnostics.captures.samples import Chunk, Recording

QUICK_FORMS = ("WAV", "memory")  # Read as fast from where they are.


class Spool:
    """Hands out a recording that is read from its file once and from the spool after that."""

    def __init__(self, recording: Recording) -> None:
        self._recording = recording
        self._file: IO[bytes] | None = None
        self._sizes: list[int] = []
        self._whole = False

    def __enter__(self) -> Recording:
        if self._recording.form in QUICK_FORMS:
            return self._recording
        self._file = tempfile.TemporaryFile(prefix="capture-")
        known = self._recording
        return Recording(
            known.channels, known.dt, known.start, known.samples, self._chunks, known.form, known.remarks
        )

    def __exit__(self, *_: object) -> None:
        if self._file:
            self._file.close()

    def _chunks(self) -> Iterator[Chunk]:
        return self._again() if self._whole else self._first_time()

    def _first_time(self) -> Iterator[Chunk]:
        assert self._file is not None  # Held by `__enter__`.
        self._file.seek(0)
        self._sizes.clear()
        for chunk in self._recording.chunks():
            self._file.write(np.ascontiguousarray(chunk.times).data)
            self._file.write(np.ascontiguousarray(chunk.values).data)
            self._sizes.append(len(chunk))
            yield chunk
        self._whole = True

    def _again(self) -> Iterator[Chunk]:
        assert self._file is not None
        self._file.seek(0)
        rows = len(self._recording.channels) + 1
        for size in self._sizes:
            block = np.fromfile(self._file, np.float64, size * rows).reshape(rows, size)
            yield Chunk(block[0], block[1:])
