"""Files that people send: how large one may be, and who may send any."""

from __future__ import annotations

import shutil

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.files.uploadhandler import FileUploadHandler, SkipFile

KEPT_FREE = 500_000_000  # Bytes that an upload leaves free on the disk.


class Guard(FileUploadHandler):
    """Lets no file in from somebody who has not signed in, and none beyond the limit.

    What is refused is read to its end without being kept, and the rest of the form with it, so that the page
    can answer why.
    """

    def __init__(self, request=None):
        super().__init__(request)
        self._size = 0

    def handle_raw_input(self, input_data, META, content_length, boundary, encoding=None):
        self._is_refused = self._is_stranger() or (content_length or 0) > settings.UPLOAD_LIMIT + 1_000_000
        if self._is_refused:
            self.request.upload_refused = True

    def new_file(self, *args, **kwargs):
        super().new_file(*args, **kwargs)
        if self._is_refused:
            raise SkipFile

    def receive_data_chunk(self, raw_data, start):
        self._size += len(raw_data)
        if self._size > settings.UPLOAD_LIMIT:
            self.request.upload_refused = True
            raise SkipFile
        return raw_data

    def file_complete(self, file_size):
        return None

    def _is_stranger(self):
        user = getattr(self.request, "user", None)
        return user is None or not user.is_authenticated


def was_too_large(request) -> bool:
    """Whether a file of this request was refused for its size."""
    return getattr(request, "upload_refused", False)


def too_large() -> ValidationError:
    """What to say of a file beyond the limit."""
    return ValidationError(
        f"The file is larger than {limit_words()}. Save a shorter stretch, or fewer samples a second, and "
        "upload that. The owner can raise the limit with UPLOAD_LIMIT_MB.",
        code="too_large",
    )


def has_room_for(size: int) -> bool:
    """Whether a file of so many bytes, and what is computed from it, leaves the disk with room to work."""
    return shutil.disk_usage(settings.DATA_DIR).free > 3 * size + KEPT_FREE


def no_room() -> ValidationError:
    """What to say when the disk is full."""
    return ValidationError(
        "The site has no room for this file. Tell the owner: the disk of DATA_DIR is nearly full.",
        code="no_room",
    )


def limit_words() -> str:
    """The limit as people say it: "500 MB"."""
    return f"{settings.UPLOAD_LIMIT // 1_000_000:,} MB"
