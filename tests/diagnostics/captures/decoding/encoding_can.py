"""CAN 2.0 frames as bits, written from the specification apart from the decoder; CRC by crccheck."""

from crccheck.crc import Crc15Can

DOMINANT, RECESSIVE = 0, 1


def stuffed(bits):
    out, equal, last = [], 0, None
    for bit in bits:
        out.append(bit)
        equal = equal + 1 if bit == last else 1
        last = bit
        if equal == 5:
            last = 1 - bit
            out.append(last)
            equal = 1
    return out


def counted_bits(identifier, data=b"", *, extended=False, remote=False, dlc=None):
    dlc = len(data) if dlc is None else dlc
    if extended:
        head = f"0{identifier:029b}"
        text = head[:12] + "11" + head[12:] + f"{int(remote)}00{dlc:04b}"
    else:
        text = f"0{identifier:011b}{int(remote)}00{dlc:04b}"
    return text + "".join(f"{byte:08b}" for byte in data)


def frame_bits(
    identifier, data=b"", *, extended=False, remote=False, dlc=None, ack=True, flip=None, wrong_crc=0
):
    """Return the bits on the wire. `flip` turns one bit of the stuffed part over."""
    text = counted_bits(identifier, data, extended=extended, remote=remote, dlc=dlc)
    crc = Crc15Can.calc(int(text, 2).to_bytes((len(text) + 7) // 8)) ^ wrong_crc
    bits = stuffed([int(bit) for bit in text + f"{crc:015b}"])
    if flip is not None:
        bits[flip % len(bits)] ^= 1
    return [*bits, RECESSIVE, DOMINANT if ack else RECESSIVE, RECESSIVE, *[RECESSIVE] * 7]


def broken_by_error_flag(bits, at):
    """Return a frame that a node stops with an active error flag after `at` bits."""
    return [*bits[:at], *[DOMINANT] * 6, *[RECESSIVE] * 8]


def on_the_wire(frames, bit_s, *, gap_bits=3, lead_bits=20):
    """Return segments (driven, seconds) of frames with intermission between them."""
    segments = [(False, lead_bits * bit_s)]
    for bits in frames:
        segments += [(bit == DOMINANT, bit_s) for bit in bits]
        segments.append((False, gap_bits * bit_s))
    return [*segments, (False, lead_bits * bit_s)]
