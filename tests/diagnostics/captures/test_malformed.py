"""A thousand damaged files of four kinds: each is read, or refused in words, and nothing else happens."""

import io
import struct
import zipfile

import numpy as np
import pytest

from diagnostics.captures.analyse import analyse
from diagnostics.captures.recording import UnreadableCapture, open_recording

EACH = 250
SEED = 77
VCD = """$date today $end
$timescale 1 us $end
$scope module bench $end
$var wire 1 ! line $end
$var real 64 " volts $end
$upscope $end
$enddefinitions $end
#0
$dumpvars
0!
r0.5 "
$end
#10
1!
r4.5 "
#30
0!
b1010 "
#45
"""


def a_csv(random):
    separator = random.choice([",", ";", "\t", " "])
    lines = ["Bench;7", f"Time (ms){separator}CH1 (V){separator}CH2 (mV)"]
    lines += [separator.join(f"{n * k:.3f}" for k in (1, 2, 3)) for n in range(30)]
    return ("\n".join(lines) + "\n").encode()


def a_wav(random):
    width, kind = random.choice([(1, 1), (2, 1), (3, 1), (4, 1), (4, 3), (8, 3)])
    body = random.bytes(int(width) * 60)
    form = struct.pack("<HHIIHH", kind, 2, 8000, 16000 * width, 2 * width, 8 * width)
    chunks = b"fmt " + struct.pack("<I", 16) + form + b"data" + struct.pack("<I", len(body)) + body
    return b"RIFF" + struct.pack("<I", len(chunks) + 4) + b"WAVE" + chunks


def a_vcd(random):
    return VCD.encode()


def a_session(random):
    raw = io.BytesIO()
    with zipfile.ZipFile(raw, "w", random.choice([zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED])) as archive:
        archive.writestr("version", "2")
        archive.writestr(
            "metadata",
            "[device 1]\ncapturefile=logic-1\nsamplerate=1 MHz\nprobe1=D0\nanalog2=A\nunitsize=1\n",
        )
        archive.writestr("logic-1-1", random.bytes(50))
        archive.writestr("analog-1-2-1", random.bytes(200))
    return raw.getvalue()


def damaged(raw, random):
    """Cut, flip, write over, repeat, leave out, or put strange text in: one to four times."""
    raw = bytearray(raw)
    for _ in range(random.integers(1, 5)):
        at, length = int(random.integers(0, max(1, len(raw)))), int(random.integers(1, 24))
        kind = random.integers(0, 6)
        if kind == 0:
            raw = raw[:at]
        elif kind == 1 and raw:
            raw[min(at, len(raw) - 1)] ^= 1 << int(random.integers(0, 8))
        elif kind == 2:
            raw[at : at + length] = random.bytes(length)
        elif kind == 3:
            raw[at:at] = raw[at : at + length] * 3
        elif kind == 4:
            del raw[at : at + length]
        else:
            strange = [
                b"\0",
                b"\xff\xff\xff\xff",
                b"1e999",
                b",,,",
                b"#99999999999999999999",
                b"$end",
                b"\n\n",
                b"nan",
            ]
            raw[at:at] = strange[int(random.integers(0, len(strange)))]
    return bytes(raw)


@pytest.mark.parametrize(
    ("make", "suffix"), [(a_csv, ".csv"), (a_wav, ".wav"), (a_vcd, ".vcd"), (a_session, ".sr")]
)
def test_a_damaged_file_is_read_or_refused_in_words(tmp_path, make, suffix):
    random, refused = np.random.default_rng(SEED), []
    path = tmp_path / f"damaged{suffix}"
    for _ in range(EACH):
        path.write_bytes(damaged(make(random), random))
        try:
            analyse(open_recording(path), battery_v=12.6).as_dict()
        except UnreadableCapture as refusal:
            refused.append(refusal)

    assert 20 < len(refused) <= EACH
    assert [one for one in refused if not (one.where and one.message.endswith((".", '"')))] == []


@pytest.mark.parametrize("suffix", [".csv", ".wav", ".vcd", ".sr", ".txt", ""])
def test_random_bytes_are_refused_whatever_the_file_is_called(tmp_path, suffix):
    random = np.random.default_rng(SEED)
    path = tmp_path / f"noise{suffix}"
    for length in (1, 3, 50, 5000, 200_000):
        path.write_bytes(random.bytes(length))

        with pytest.raises(UnreadableCapture):
            list(open_recording(path).chunks())


@pytest.mark.parametrize("beginning", [b"RIFF", b"PK\x03\x04", b"$date "])
def test_a_file_that_only_begins_as_one_of_a_kind_is_refused(tmp_path, beginning):
    path = tmp_path / "a.csv"
    path.write_bytes(beginning + b"Time (s),V\n0,1\n1,2\n")

    with pytest.raises(UnreadableCapture):
        list(open_recording(path).chunks())


def test_a_file_is_known_by_what_it_holds_and_not_by_its_name(tmp_path):
    path = tmp_path / "a.csv"
    path.write_bytes(VCD.encode())

    assert open_recording(path).form == "VCD"
