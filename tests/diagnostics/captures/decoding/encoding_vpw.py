"""VPW frames as (driven, seconds), from the nominal widths of the MPC5200B users guide; CRC by crccheck."""

from crccheck.crc import Crc8SaeJ1850

SHORT, LONG, START, END_OF_DATA, END_OF_FRAME, BREAK = 64e-6, 128e-6, 200e-6, 200e-6, 300e-6, 300e-6


def with_check(payload):
    return payload + bytes([Crc8SaeJ1850.calc(payload)])


def pulses(message, first_driven):
    out, driven = [], first_driven
    for byte in message:
        for place in range(7, -1, -1):
            one = byte >> place & 1
            out.append((driven, SHORT if one == driven else LONG))
            driven = not driven
    return out


def frame(message, *, answer=None, speed=1):
    """Return a frame from its start to its end of frame; `answer` are bytes that another node adds."""
    out = [(True, START), *pulses(message, False)]
    if answer is not None:
        out += [(False, END_OF_DATA), (True, SHORT), *pulses(answer, False)]
    out.append((False, END_OF_FRAME))
    return [(driven, seconds / speed) for driven, seconds in out]
