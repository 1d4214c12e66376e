"""LIN frames and K line messages as (driven, seconds), from the specifications, apart from the decoder."""

DRIVEN, LET_GO = True, False


def character(value, bit_s, *, stop=True):
    bits = [0, *(value >> place & 1 for place in range(8)), int(stop)]
    return [(not bit, bit_s) for bit in bits]


def lin_sum(values):
    total = 0
    for value in values:
        total += value
        total = total % 256 + total // 256
    return 255 - total


def lin_identifier(identifier):
    i = [identifier >> place & 1 for place in range(6)]
    return identifier + 64 * ((i[0] + i[1] + i[2] + i[4]) % 2) + 128 * ((i[1] + i[3] + i[4] + i[5] + 1) % 2)


def lin_header(protected, bit_s, *, break_bits=13, sync=0x55):
    return [
        (DRIVEN, break_bits * bit_s),
        (LET_GO, bit_s),
        *character(sync, bit_s),
        *character(protected, bit_s),
    ]


def lin_frame(
    identifier,
    data,
    bit_s,
    *,
    enhanced=True,
    wrong=0,
    protected=None,
    gap_bits=0.5,
    node_clock=1.0,
    break_bits=13,
):
    """Return a frame with its answer; `node_clock` is how much slower the answering node is."""
    protected = lin_identifier(identifier) if protected is None else protected
    counted = [protected, *data] if enhanced and identifier not in (0x3C, 0x3D) else list(data)
    out = lin_header(protected, bit_s, break_bits=break_bits)
    for value in [*data, lin_sum(counted) ^ wrong]:
        out += [(LET_GO, gap_bits * bit_s), *character(value, bit_s * node_clock)]
    return [*out, (LET_GO, 5 * bit_s)]


def kline_message(payload, bit_s, *, wrong=0, gap_s=0.002, after_s=0.03, without_stop=None):
    """Return the bytes with their check byte, a pause between each two and a longer one behind."""
    out = []
    for place, value in enumerate([*payload, (sum(payload) + wrong) % 256]):
        out += [*character(value, bit_s, stop=place != without_stop), (LET_GO, gap_s)]
    return [*out, (LET_GO, after_s)]


def slow_waking(address):
    return [*character(address, 0.2), (LET_GO, 0.1)]


def fast_waking():
    return [(DRIVEN, 0.025), (LET_GO, 0.025)]
