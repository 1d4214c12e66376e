"""Photos are drawn anew: nothing but the picture is kept; no hostile file is opened by the site itself."""

import io
import random
import struct
import zlib

import pytest
from PIL import Image

from shared import pictures
from shared.pictures import PictureRefused, redraw


def saved(tmp_path, image, kind="JPEG", **options):
    path = tmp_path / "photo"
    image.save(path, kind, **options)
    return path


def opened(data):
    return Image.open(io.BytesIO(data))


def with_place(image):
    """Camera marks with a place, an owner and a turn by a quarter."""
    marks = image.getexif()
    marks[0x0112] = 6  # Orientation: the top of the picture is at the right. Exif 2.3, from memory.
    marks[0x010F] = "Maker"
    marks.get_ifd(0x8825)[2] = (38.0, 43.0, 12.0)
    return marks


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_photo_of_each_allowed_format_is_kept_as_jpeg(tmp_path, kind):
    picture = redraw(saved(tmp_path, Image.new("RGB", (640, 480), "red"), kind))

    assert (opened(picture.large).format, picture.width, picture.height) == ("JPEG", 640, 480)


def test_place_and_maker_are_gone_and_the_picture_stands_upright(tmp_path):
    image = Image.new("RGB", (640, 480), "red")

    picture = redraw(saved(tmp_path, image, exif=with_place(image)))

    kept = opened(picture.large)
    assert kept.size == (480, 640)
    assert not dict(kept.getexif())
    assert set(kept.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}


def test_a_large_photo_is_made_as_large_as_a_page_needs(tmp_path):
    picture = redraw(saved(tmp_path, Image.new("RGB", (5000, 3000))))

    assert (picture.width, picture.height) == (2000, 1200)
    assert max(opened(picture.small).size) == 400


def test_what_is_clear_becomes_white(tmp_path):
    picture = redraw(saved(tmp_path, Image.new("RGBA", (8, 8), (0, 0, 0, 0)), "PNG"))

    assert min(opened(picture.large).getpixel((4, 4))) > 250


def test_text_hidden_in_the_file_is_not_copied(tmp_path):
    path = saved(tmp_path, Image.new("RGB", (64, 64), "red"))
    path.write_bytes(path.read_bytes() + b"<script>alert(1)</script>")

    picture = redraw(path)

    assert b"script" not in picture.large + picture.small


@pytest.mark.parametrize("kind", ["GIF", "TIFF", "BMP", "PDF", "ICO", "PPM"])
def test_any_other_format_is_refused_with_what_is_allowed(tmp_path, kind):
    with pytest.raises(PictureRefused, match="Allowed: JPEG, PNG or WebP"):
        redraw(saved(tmp_path, Image.new("RGB", (64, 64)), kind))


def png_that_says(width, height):
    """A small file whose head promises a picture of any size. PNG specification, W3C, from memory."""

    def chunk(name, data):
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    body = zlib.compress(bytes(1_000_000))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", body) + chunk(b"IEND", b"")


def test_a_small_file_that_unfolds_to_a_huge_picture_is_refused(tmp_path):
    path = tmp_path / "photo.png"
    path.write_bytes(png_that_says(60_000, 60_000))

    with pytest.raises(PictureRefused, match="Allowed"):
        redraw(path)


def test_a_file_beyond_the_limit_is_not_opened_at_all(tmp_path):
    path = tmp_path / "photo.jpg"
    with path.open("wb") as file:
        file.truncate(pictures.MOST_BYTES + 1)

    with pytest.raises(PictureRefused, match="larger than 25 MB"):
        redraw(path)


def answer_to(path):
    try:
        return opened(redraw(path).large).format
    except PictureRefused as refused:
        return str(refused)


def test_a_damaged_photo_is_redrawn_or_refused_never_more(tmp_path):
    whole = saved(tmp_path, Image.effect_noise((200, 200), 60)).read_bytes()
    chance = random.Random(7)
    answers = []
    for number in range(12):
        bent = bytearray(whole)
        for _ in range(20):
            bent[chance.randrange(len(bent))] = chance.randrange(256)
        path = tmp_path / f"bent-{number}"
        path.write_bytes(bent[: chance.randrange(1, len(bent))])
        answers.append(answer_to(path))

    assert all(answer == "JPEG" or "Allowed:" in answer for answer in answers)
    assert any("Allowed:" in answer for answer in answers)
