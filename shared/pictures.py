"""Photos as they may be kept: drawn anew, upright, no larger than a page needs, nothing else in the file.

What a camera writes beside the picture (place, owner, serial numbers, a second picture) is not copied. A
hostile file is opened in a process of its own with little memory and time, and never by the site.
"""

from __future__ import annotations

import io
import json
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from PIL import Image

ALLOWED_WORDS = "JPEG, PNG or WebP, at most 25 MB and 40 million pixels"
MOST_BYTES = 25_000_000
MOST_PIXELS = 40_000_000
LONG_SIDE = 2000  # Pixels; fills a page of paper at 200 dots an inch.
SMALL_SIDE = 400
QUALITY = 82
MOST_SECONDS = 10
MOST_MEMORY = 768_000_000  # Bytes of address space, the interpreter with it.

# Only these: any other format that a library offers is a door that nobody watches.
_FORMATS = ("JPEG", "PNG", "WEBP")


class PictureRefused(ValueError):
    """A file that is no picture we keep. The text says why and what is allowed."""


@dataclass(frozen=True, slots=True)
class Picture:
    """A photo drawn anew: two JPEG files and the size of the large one. [pixels]"""

    large: bytes
    small: bytes
    width: int
    height: int


def redraw(path: Path) -> Picture:
    """Return the photo in the file at `path`, drawn anew by a process of its own.

    Raises
    ------
    PictureRefused
        If the file is too large, no picture of the allowed formats, damaged, or takes too long.
    """
    if path.stat().st_size > MOST_BYTES:
        raise PictureRefused(f"This file is larger than 25 MB. Allowed: {ALLOWED_WORDS}.")
    try:
        done = subprocess.run(
            [sys.executable, "-m", "shared.pictures", str(path)],
            capture_output=True,
            timeout=MOST_SECONDS,
            cwd=Path(__file__).resolve().parent.parent,
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise PictureRefused(f"This picture takes too long to open. Allowed: {ALLOWED_WORDS}.") from None
    said, _, drawn = done.stdout.partition(b"\n")
    if done.returncode != 0 or not drawn:
        raise PictureRefused(_reason(said))
    head = json.loads(said)
    return Picture(drawn[: head["large"]], drawn[head["large"] :], head["width"], head["height"])


def _reason(said: bytes) -> str:
    words = said.decode("utf-8", "replace").strip() if len(said) < 300 else ""
    return f"{words or 'This file cannot be opened as a picture.'} Allowed: {ALLOWED_WORDS}."


def _draw(path: str) -> int:
    """Draw one file anew onto standard output; runs in the process of its own."""
    import resource
    import warnings

    resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (MOST_SECONDS, MOST_SECONDS))
    from PIL import Image, ImageOps

    warnings.simplefilter("error")
    Image.MAX_IMAGE_PIXELS = MOST_PIXELS
    with Image.open(path, formats=_FORMATS) as found:
        if found.width * found.height > MOST_PIXELS:
            return _refuse("This picture has too many pixels.")
        found.draft("RGB", (LONG_SIDE, LONG_SIDE))
        found.thumbnail((LONG_SIDE, LONG_SIDE))
        # Turned as the camera was held; the mark itself is not copied.
        picture = _on_white(ImageOps.exif_transpose(found))
    large = _jpeg(picture)
    size = picture.size
    picture.thumbnail((SMALL_SIDE, SMALL_SIDE))
    head = {"large": len(large), "width": size[0], "height": size[1]}
    sys.stdout.buffer.write(json.dumps(head).encode() + b"\n" + large + _jpeg(picture))
    return 0


def _on_white(picture: Image.Image) -> Image.Image:
    from PIL import Image

    if "A" not in picture.getbands() and "transparency" not in picture.info:
        return Image.frombytes("RGB", picture.size, picture.convert("RGB").tobytes())
    clear = picture.convert("RGBA")
    sheet = Image.new("RGB", clear.size, "white")
    sheet.paste(clear, mask=clear.getchannel("A"))
    return sheet


def _jpeg(picture: Image.Image) -> bytes:
    drawn = io.BytesIO()
    picture.save(drawn, "JPEG", quality=QUALITY, optimize=True)
    return drawn.getvalue()


def _refuse(words: str) -> int:
    sys.stdout.write(words)
    return 1


if __name__ == "__main__":
    sys.exit(_draw(sys.argv[1]))
