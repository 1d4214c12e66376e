"""One CAN 2.0 frame from the bits of one burst: destuffing, fields, CRC, fixed bits, error flags.

Source: Bosch, CAN Specification 2.0, 1991, parts A and B, from memory; CRC polynomial read as quoted.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from diagnostics.captures.decoding.checks import crc15_can

MOST_BITS = 200  # The longest stuffed frame has about 160; error flags and delimiters follow.
MOST_EQUAL = 5  # Of one level in a row from the start of frame to the CRC.
LONGEST_DATA = 8
CRC_BITS = 15
END_OF_FRAME_BITS = 7
TAIL_BITS = 3 + END_OF_FRAME_BITS  # CRC delimiter, acknowledge slot and delimiter, end of frame.
ERROR_FLAG = "0" * 6
_RUNS = re.compile("0+|1+")
_OVERLOAD = re.compile("0{6,12}1*")

# The part of a bit at which it is read, and the most by which an edge moves the reading, in bits. Within
# what CAN 2.0 allows a controller; towards the middle, because a recording's edges wander both ways.
SAMPLE_POINT = 0.65
LONGEST_JUMP = 0.25


@dataclass(frozen=True, slots=True)
class Attempt:
    """What a burst of bits is: a frame, or how far it came. `bits` is how many belong to it."""

    kind: str
    bits: int
    identifier: int | None = None
    extended: bool = False
    data: bytes = b""
    faults: tuple[str, ...] = ()
    note: str = ""


class _Header(NamedTuple):
    identifier: int
    extended: bool
    remote: bool
    reserved: bool
    length: int
    bits: int


def sampled(edges_s: Sequence[float], bit_s: float, until_s: float) -> str:
    """Return the bits of a burst as a receiver reads them: "0" dominant, "1" recessive.

    Parameters
    ----------
    edges_s : n floats, n at least 1
        Into dominant and out of it in turn; the first is the start of frame, to which the receiver
        synchronises hard. At each later edge into dominant it moves by at most `LONGEST_JUMP`. [s]
    bit_s : float
        One bit. [s]
    until_s : float
        When the last level ends. [s]

    Returns
    -------
    str
        At most about `MOST_BITS`.
    """
    reads: list[str] = []
    count = 0
    read_s = edges_s[0] + SAMPLE_POINT * bit_s
    for place, (begin, end) in enumerate(zip(edges_s, [*edges_s[1:], until_s], strict=True)):
        dominant = place % 2 == 0
        if dominant and place and reads and reads[-1][0] == "1":
            early_or_late = begin - (read_s - SAMPLE_POINT * bit_s)
            read_s += min(max(early_or_late, -LONGEST_JUMP * bit_s), LONGEST_JUMP * bit_s)
        if end <= read_s:
            continue
        bits = int((end - read_s) / bit_s) + 1
        if bits > MOST_BITS:
            bits = MOST_BITS
        reads.append(("0" if dominant else "1") * bits)
        read_s += bits * bit_s
        count += bits
        if count > MOST_BITS:
            break
    return "".join(reads)


def read_frame(bits: str, *, whole: bool = True) -> Attempt:
    """Return what the bits of a burst are.

    Parameters
    ----------
    bits : str
        From the start of frame, with at least eleven recessive bits or the end of the recording behind it.
    whole : bool
        Whether the burst ended on its own; else what is missing was cut off by the recording.
    """
    plain, stuff_bits, broken = destuffed(bits)
    header = _header(plain)
    if header is None:
        return _broken_off(bits, broken, whole)
    data_bits = 0 if header.remote else 8 * min(header.length, LONGEST_DATA)
    counted = header.bits + data_bits
    if len(plain) < counted + CRC_BITS:
        return _broken_off(bits, broken, whole, header)
    faults = [] if _crc_fits(plain, counted) else ["crc"]
    last = counted + CRC_BITS - 1
    last += bisect_right(stuff_bits, last)
    tail_at = last + 1
    if bits[max(last - MOST_EQUAL + 1, 0) : tail_at] in ("0" * MOST_EQUAL, "1" * MOST_EQUAL):
        tail_at += 1
        if bits[last:tail_at] in ("00", "11"):
            faults.append("stuff")
    tail = bits[tail_at:]
    faults += _faults_of_tail(tail, whole, bool(faults))
    return Attempt(
        kind="remote" if header.remote else "data",
        bits=tail_at + min(len(tail), TAIL_BITS),
        identifier=header.identifier,
        extended=header.extended,
        data=_data(plain[header.bits : counted]),
        faults=tuple(faults),
        note=_perhaps_fd(header)
        if "crc" in faults
        else "overload frame follows" * (ERROR_FLAG in tail[TAIL_BITS:]),
    )


def destuffed(bits: str) -> tuple[str, list[int], int | None]:
    """Return the bits without stuff bits, how many stood before each stuff bit, and where the rule broke.

    The end of a frame always breaks the rule; a break is an error only before the CRC is complete.
    """
    plain: list[str] = []
    stuff_bits: list[int] = []
    at = stuffed = 0
    for run in _RUNS.findall(bits):
        if stuffed:
            stuff_bits.append(at - len(stuff_bits))
        length = len(run)
        if length > MOST_EQUAL:
            plain.append(run[stuffed:MOST_EQUAL])
            return "".join(plain), stuff_bits, at + MOST_EQUAL
        plain.append(run[stuffed:])
        stuffed = int(length == MOST_EQUAL)
        at += length
    return "".join(plain), stuff_bits, None


def is_overload_flag(bits: str) -> bool:
    """Whether the bits behind a frame are only six to twelve dominant ones: a request for a pause."""
    return bool(_OVERLOAD.fullmatch(bits))


def _header(plain: str) -> _Header | None:
    if len(plain) < 19:
        return None
    if plain[13] == "0":
        identifier = int(plain[1:12], 2)
        return _Header(identifier, False, plain[12] == "1", plain[14] == "1", int(plain[15:19], 2), 19)
    if len(plain) < 39:
        return None
    identifier = int(plain[1:12] + plain[14:32], 2)
    return _Header(identifier, True, plain[32] == "1", plain[33] == "1", int(plain[35:39], 2), 39)


def _broken_off(bits: str, broken: int | None, whole: bool, header: _Header | None = None) -> Attempt:
    faults: tuple[str, ...]
    if broken is None:
        faults = ("form",) if whole else ("cut",)
    elif len(bits.rstrip("1")) < MOST_EQUAL:
        return Attempt("noise", len(bits.rstrip("1")), faults=("noise",))
    else:
        faults = ("stuff", "error-frame") if _ends_with_flag(bits) else ("stuff",)
    used = len(bits.rstrip("1")) or 1
    if header is None:
        return Attempt("error", used, faults=faults)
    return Attempt("error", used, header.identifier, header.extended, faults=faults, note=_perhaps_fd(header))


def _perhaps_fd(header: _Header) -> str:
    return "perhaps a CAN FD frame, which is not decoded" if header.reserved else ""


def _crc_fits(plain: str, counted: int) -> bool:
    sent = int(plain[counted : counted + CRC_BITS], 2)
    return crc15_can(map(int, plain[:counted])) == sent


def _faults_of_tail(tail: str, whole: bool, wrong_before: bool) -> list[str]:
    """Return what is wrong behind the CRC; behind a wrong one, where bits may be misplaced, only a flag."""
    if len(tail) < TAIL_BITS and not whole:
        return ["cut"] if "0" not in tail[2:] else ["form"]
    tail = tail.ljust(TAIL_BITS, "1")
    # Receivers overlook a wrong last bit, and take the flag that begins there for an overload flag.
    ended_early = "0" in tail[2 : TAIL_BITS - 1]
    flag = ["error-frame"] if ended_early and _ends_with_flag(tail) else []
    if wrong_before:
        return flag
    faults = ["ack"] if tail[1] == "1" else []
    # A flag that follows a fault is its consequence, not another wrong bit.
    if tail[0] == "0" or (ended_early and not (flag and faults)):
        faults.append("form")
    return faults + flag


def _ends_with_flag(bits: str) -> bool:
    """Whether the last that was sent are six or more dominant bits, with nothing but let go behind them."""
    return bits.rstrip("1").endswith(ERROR_FLAG)


def _data(bits: str) -> bytes:
    return int(bits, 2).to_bytes(len(bits) // 8) if bits else b""
