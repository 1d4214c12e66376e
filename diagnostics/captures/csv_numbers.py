"""Turn a block of lines into numbers, all cells at once.

A recording of 50 million samples has 100 million numbers in it; one call for each would take minutes. So a
whole block is handed to NumPy, after its cells were counted line by line. A block that does not look as it
should is cut into smaller ones, and only the smallest is read cell by cell, which also finds the line to
name in a refusal. Taking eight digits at a time from machine words was measured too: no faster, and longer.
"""

from __future__ import annotations

import re
import warnings
from dataclasses import dataclass

import numpy as np

from diagnostics.captures.samples import Floats, UnreadableCapture

NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?")
MISSING_WORDS = frozenset(
    [
        "nan",
        "-nan",
        "inf",
        "-inf",
        "+inf",
        "infinity",
        "-infinity",
        "∞",
        "-∞",
        "-",
        "--",
        "---",
        "ol",
        "-ol",
        "over",
        "overflow",
        "null",
        "none",
        "n/a",
        "na",
        "#n/a",
        "?",
    ]
) | {""}
LONGEST_CELL = 64  # Characters
SMALLEST_BLOCK = 2048  # Bytes; below this cells are read one by one
PIECES = 8


@dataclass(frozen=True, slots=True)
class Grid:
    """How cells stand in a line: the byte between them, and how many there are."""

    separator: bytes
    width: int

    @property
    def cleaning(self) -> tuple[bytes, bytes]:
        """Translation table, and bytes to leave out, after which blanks part cells and points decimals."""
        wanted, given = b"\t" if self.separator == b" " else self.separator, b" "
        if self.separator != b",":
            wanted, given = wanted + b",", given + b"."
        return bytes.maketrans(wanted, given), b'"\r'


def cells_of(line: str, separator: str) -> list[str]:
    """Return the cells of one line without blanks and quotation marks around them."""
    parts = line.split() if separator == " " else line.split(separator)
    return [part.strip().strip('"').strip() for part in parts]


def number_of(cell: str, separator: str) -> float | None:
    """Return the number in a cell, NaN for one that stands for a missing sample, None for other text."""
    if len(cell) > LONGEST_CELL:
        return None
    text = cell if separator == "," else cell.replace(",", ".")
    if NUMBER.fullmatch(text):
        return float(text)
    missing = text.lower() in MISSING_WORDS or (text != "" and not text.strip("*"))
    return float("nan") if missing else None


def numbers(block: bytes, grid: Grid, line: int) -> Floats:
    """Return the numbers of whole lines.

    Parameters
    ----------
    block : bytes
        Lines that end with a line feed each.
    grid : Grid
    line : int
        The number of the first line, for refusals.

    Returns
    -------
    (rows, width) floats
        NaN where a cell is empty or says that its sample is missing.

    Raises
    ------
    UnreadableCapture
        For the first cell that is no number, or line with another number of cells.
    """
    found = _all_at_once(block, grid)
    if found is not None:
        return found
    if len(block) <= SMALLEST_BLOCK:
        return _one_by_one(block, grid, line)
    pieces = []
    for piece in _pieces(block):
        pieces.append(numbers(piece, grid, line))
        line += piece.count(b"\n")
    return np.concatenate(pieces)


def _pieces(block: bytes) -> list[bytes]:
    size = max(SMALLEST_BLOCK // 2, len(block) // PIECES)
    cut, pieces = 0, []
    while cut < len(block):
        end = block.find(b"\n", min(len(block), cut + size) - 1) + 1 or len(block)
        pieces.append(block[cut:end])
        cut = end
    if len(pieces) == 1:  # One line longer than a block has any right to be.
        return [block[i : i + SMALLEST_BLOCK] for i in range(0, len(block), SMALLEST_BLOCK)]
    return pieces


def _one_by_one(block: bytes, grid: Grid, line: int) -> Floats:
    separator = grid.separator.decode()
    rows = []
    for number, text in enumerate(block.decode("utf-8", "replace").splitlines(), line):
        if not text.strip() or text.lstrip().startswith("#"):
            continue
        cells = cells_of(text, separator)
        if separator != " " and len(cells) == grid.width + 1 and not cells[-1]:
            cells.pop()
        if len(cells) != grid.width:
            raise UnreadableCapture(
                f"line {number}",
                f"It has {len(cells)} cells; the lines above have {grid.width}.",
                f"{grid.width} cells in every line, an empty one where a sample is missing",
            )
        rows.append([_cell(cell, separator, number) for cell in cells])
    return np.array(rows, dtype=np.float64).reshape(-1, grid.width)


def _cell(cell: str, separator: str, line: int) -> float:
    value = number_of(cell, separator)
    if value is None:
        shown = cell if len(cell) <= 40 else cell[:37] + "..."
        raise UnreadableCapture(
            f"line {line}", f"'{shown}' is no number.", "a number, or an empty cell for a missing sample"
        )
    return value


def _all_at_once(block: bytes, grid: Grid) -> Floats | None:
    """Return the numbers of a block that has nothing odd in it, else None."""
    table, left_out = grid.cleaning
    if grid.separator != b" ":
        block = _empty_cells_named(block.replace(b"\r", b""), grid.separator)
    text = block.translate(table, left_out)
    if not _is_square(text, grid.width):
        return None
    with warnings.catch_warnings():
        warnings.simplefilter(
            "ignore", DeprecationWarning
        )  # NumPy stops at the first text; so does the count.
        try:
            found = np.fromstring(text, sep=" ")
        except ValueError:
            return None
    rows = text.count(b"\n")
    return found.reshape(rows, grid.width) if len(found) == rows * grid.width else None


def _empty_cells_named(block: bytes, separator: bytes) -> bytes:
    """Write "nan" into empty cells, which no longer show once blanks part the cells."""
    pair, named = separator * 2, separator + b"nan" + separator
    if pair in block:
        block = block.replace(pair, named).replace(pair, named)
    if separator + b"\n" in block:
        block = block.replace(separator + b"\n", separator + b"nan\n")
    if b"\n" + separator in block or block.startswith(separator):
        block = block.replace(b"\n" + separator, b"\nnan" + separator)
        block = (b"nan" if block.startswith(separator) else b"") + block
    return block


def _is_square(text: bytes, width: int) -> bool:
    """Say whether every line has `width` words."""
    byte = np.frombuffer(text, np.uint8)
    blank = byte <= 32
    ends = np.flatnonzero(byte == 10)
    word_ends = np.flatnonzero(blank[1:] > blank[:-1]) + 1
    if not len(ends) or len(word_ends) != len(ends) * width:
        return False
    by_line = word_ends.reshape(len(ends), width)
    return bool((by_line[:, -1] <= ends).all() and (by_line[1:, 0] > ends[:-1]).all())
