import hashlib
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.captures.keeping import LONGEST_NAME, RecordingShelf, clean_name
from shared.shelf import FileIsDamaged

CONTENT = b"time,V\n0,1\n"
# Of the empty message: FIPS 180-4, from memory.
SHA256_OF_NOTHING = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"


@pytest.fixture
def shelf(tmp_path):
    return RecordingShelf(tmp_path / "captures")


def files(shelf):
    return [path for path in shelf.root.rglob("*") if path.is_file()]


def test_a_file_is_kept_under_its_hash(shelf):
    kept = shelf.take_in(io.BytesIO(CONTENT))

    assert (kept.sha256, kept.size) == (hashlib.sha256(CONTENT).hexdigest(), len(CONTENT))
    assert shelf.checked(kept.sha256).read_bytes() == CONTENT


def test_the_hash_is_the_published_one(shelf):
    assert shelf.take_in(io.BytesIO()).sha256 == SHA256_OF_NOTHING


def test_the_same_file_is_kept_once(shelf):
    first, second = (shelf.take_in(io.BytesIO(CONTENT)) for _ in range(2))

    assert (first.was_there, second.was_there) == (False, True)
    assert files(shelf) == [shelf.path(first.sha256)]


def test_a_stream_that_breaks_off_leaves_nothing(shelf):
    class Broken(io.BytesIO):
        def read(self, size=-1):
            if self.tell() >= 4:
                raise OSError("Connection lost")
            return super().read(4)

    with pytest.raises(OSError, match="Connection lost"):
        shelf.take_in(Broken(CONTENT))

    assert files(shelf) == []


def test_a_changed_file_is_not_handed_out(shelf):
    kept = shelf.take_in(io.BytesIO(CONTENT))
    shelf.path(kept.sha256).chmod(0o640)
    shelf.path(kept.sha256).write_bytes(CONTENT.replace(b"1", b"2"))

    with pytest.raises(FileIsDamaged, match="is not the one that was uploaded"):
        shelf.checked(kept.sha256)


def test_a_missing_file_is_named(shelf):
    with pytest.raises(FileIsDamaged, match="aaaaaaaaaaaa is not there"):
        shelf.checked("a" * 64)


@pytest.mark.parametrize("sha256", ["", "../../secret.key", "A" * 64, "a" * 63, "a" * 65, "a" * 64 + "\n"])
def test_what_is_no_hash_is_no_path(shelf, sha256):
    with pytest.raises(ValueError, match="is no SHA-256"):
        shelf.path(sha256)


def test_what_was_computed_before_is_replaced_whole(shelf):
    kept = shelf.take_in(io.BytesIO(CONTENT))
    for name in ("old", "new"):
        folder = shelf.coming / name
        folder.mkdir()
        (folder / name).touch()
        shelf.put_drawn(kept.sha256, 7, folder)

    assert [path.name for path in shelf.drawn(kept.sha256, 7).iterdir()] == ["new"]
    assert list(shelf.coming.iterdir()) == []


def test_a_file_is_removed_with_all_that_was_computed_from_it(shelf):
    kept = shelf.take_in(io.BytesIO(CONTENT))
    for number in (7, 8):
        shelf.drawn(kept.sha256, number).mkdir()
        (shelf.drawn(kept.sha256, number) / "pyramid.json").touch()

    shelf.remove(kept.sha256)
    shelf.remove(kept.sha256)

    assert files(shelf) == []


@pytest.mark.parametrize(
    ("name", "kept"),
    [
        ("bay 2.csv", "bay 2.csv"),
        ("C:\\scope\\bay 2.csv", "bay 2.csv"),
        ("../../etc/passwd", "passwd"),
        ("..", "recording"),
        ("", "recording"),
        ("bay\x00\r\n2.csv", "bay2.csv"),
        ("\u202evsc.exe", "vsc.exe"),
        (" .csv ", "csv"),
        ("Zündung.csv", "Zündung.csv"),
    ],
)
def test_a_name_keeps_what_is_for_reading(name, kept):
    assert clean_name(name) == kept


def test_a_long_name_keeps_its_ending():
    assert clean_name("x" * 500 + ".csv") == "x" * (LONGEST_NAME - 4) + ".csv"


@given(st.text(max_size=300))
def test_no_name_reaches_out_of_a_folder(name):
    kept = clean_name(name)

    assert 1 <= len(kept) <= LONGEST_NAME
    assert not set(kept) & set("/\\\0\r\n")
    assert kept not in (".", "..")
