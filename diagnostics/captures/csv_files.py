"""Read a recorded signal from a text export: columns of numbers, in whatever way they are parted."""

from __future__ import annotations

import codecs
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

import numpy as np

from diagnostics.captures.csv_head import ALLOWED, HEAD_BYTES, TableForm, table_form
from diagnostics.captures.csv_numbers import cells_of, numbers
from diagnostics.captures.samples import AsRead, Chunk, Floats, Recording, UnreadableCapture, even_times

BLOCK_BYTES = 1 << 20
LONGEST_LINE = 1 << 16  # Bytes


def read_csv(path: Path, as_read: AsRead) -> Recording:
    """Return the recording in a text export; its samples are read when asked for.

    Parameters
    ----------
    path : Path
    as_read : AsRead
        Serves where the text names no unit or no sample rate.

    Raises
    ------
    UnreadableCapture
        If no table of numbers is found in the first lines, or its times are not known.
    """
    encoding = _encoding(path)
    with _bytes(path, encoding) as stream:
        head = stream.read(HEAD_BYTES)
        whole = not stream.read(1)
    if b"\0" in head:
        raise UnreadableCapture(
            f"byte {head.index(0)}",
            "The file holds bytes that are no text, and is of no known kind.",
            ALLOWED,
        )
    form = table_form(_decoded(head), whole=whole, as_read=as_read)
    channels = tuple(column.channel for column in form.columns)

    def pieces() -> Iterator[Chunk]:
        seen = 0
        for table in _tables(path, encoding, form):
            yield _chunk(table, form, seen)
            seen += len(table)

    return Recording(channels, form.dt, form.start, None, pieces, "CSV", form.remarks)


def _encoding(path: Path) -> str:
    with path.open("rb") as stream:
        mark = stream.read(3)
    if mark[:2] in (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE):
        return "utf-16"
    return "utf-8-sig" if mark == codecs.BOM_UTF8 else ""


def _bytes(path: Path, encoding: str) -> BinaryIO:
    """Open the text as bytes of one each for the signs that numbers are made of."""
    stream = path.open("rb")
    if encoding == "utf-16":
        return codecs.EncodedFile(stream, "utf-8", "utf-16", errors="replace")
    if encoding:
        stream.seek(3)
    return stream


def _decoded(head: bytes) -> str:
    try:
        return head.decode("utf-8")
    except UnicodeDecodeError as fault:
        # The head may end within a letter; otherwise it is an older text with µ and ° of one byte each.
        if fault.start > len(head) - 4:
            return head[: fault.start].decode("utf-8")
        return head.decode("cp1252", "replace")


def _tables(path: Path, encoding: str, form: TableForm) -> Iterator[Floats]:
    with _bytes(path, encoding) as stream:
        line = form.first_line
        for block in _whole_lines(stream, form):
            table = numbers(block, form.grid, line)
            line += block.count(b"\n")
            if len(table):
                yield table


def _whole_lines(stream: BinaryIO, form: TableForm) -> Iterator[bytes]:
    """Read blocks of whole lines, from the first row of the table on; every line ends with a line feed."""
    left, skipped, separator = b"", form.first_line - 1, form.grid.separator.decode()
    while block := stream.read(BLOCK_BYTES):
        block = _line_feeds(left + block)
        block, skipped = _without_lines(block, skipped)
        cut = block.rfind(b"\n") + 1
        if not cut and len(block) > LONGEST_LINE + BLOCK_BYTES:
            raise UnreadableCapture("file", "A line is too long to be one of a table.", ALLOWED)
        left = block[cut:]
        if cut:
            yield block[:cut]
    # An export that was cut off ends in a part of a line: that sample is lost.
    if not skipped and len(cells_of(left.decode("utf-8", "replace"), separator)) >= form.grid.width:
        yield left + b"\n"


def _line_feeds(block: bytes) -> bytes:
    """Make line feeds of the carriage returns of an old text; one at the end waits for what follows."""
    if b"\r" not in block or b"\n" in block:
        return block
    return block[:-1].replace(b"\r", b"\n") + block[-1:]


def _without_lines(block: bytes, lines: int) -> tuple[bytes, int]:
    while lines and (at := block.find(b"\n")) >= 0:
        block, lines = block[at + 1 :], lines - 1
    return block, lines


def _chunk(table: Floats, form: TableForm, seen: int) -> Chunk:
    values = np.empty((len(form.columns), len(table)))
    for row, column in enumerate(form.columns):
        np.multiply(table[:, column.at], column.factor, out=values[row])
    if form.time_at is None:
        assert form.dt is not None  # Held by the head: no times without an interval.
        return Chunk(even_times(len(table), form.dt, first=seen, start=form.start), values)
    times: Floats = table[:, form.time_at].copy()
    times *= form.time_scale
    return Chunk(times, values)
