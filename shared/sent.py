"""A form that is sent twice is kept once: a double press, or a line sent again after a lost connection.

Each form carries a key made with the page (`{% sent_once %}`). The same key with the same content is the
same sending. With other content it is another one: a browser that goes back shows the old page, key included.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import IntegrityError, transaction
from django.http import HttpRequest
from django.utils import timezone

from shared.models import SentForm

FIELD = "sent"
# A tablet that lay in a drawer for a month does not send by itself any more.
KEPT = timedelta(days=31)
_KEY = re.compile(r"[0-9a-f-]{8,36}")
_NOT_CONTENT = {FIELD, "csrfmiddlewaretoken"}


@dataclass(frozen=True, slots=True)
class Answer:
    """What a kept form leads to: an address, and what to say."""

    to: str
    said: str


def answered(request: HttpRequest) -> Answer | None:
    """Return the answer that this form had when it was sent before; look before anything is checked again."""
    key = request.POST.get(FIELD, "")
    if not _KEY.fullmatch(key):
        return None
    kept = SentForm.objects.filter(key=key, digest=_digest(request)).first()
    return Answer(kept.to, kept.said) if kept else None


@transaction.atomic
def once(request: HttpRequest, act: Callable[[], Answer]) -> Answer:
    """Return the answer of `act`, or the earlier answer where this form was kept already.

    All that `act` writes is one transaction with the key: a refusal leaves neither.
    """
    key = request.POST.get(FIELD, "")
    if not _KEY.fullmatch(key):
        return act()
    try:
        with transaction.atomic():
            row = SentForm.objects.create(
                key=key, digest=_digest(request), by=request.user, at=timezone.now()
            )
    except IntegrityError:
        return answered(request) or act()
    answer = act()
    row.to, row.said = answer.to, answer.said
    row.save(update_fields=["to", "said"])
    return answer


def forget(*, before: datetime) -> int:
    """Delete what nobody will send again. Return how many rows went."""
    return SentForm.objects.filter(at__lt=before).delete()[0]


def _digest(request: HttpRequest) -> str:
    typed = sorted((name, values) for name, values in request.POST.lists() if name not in _NOT_CONTENT)
    files = sorted((name, file.name, file.size) for name, file in request.FILES.items())
    content = json.dumps([request.user.pk, request.path, typed, files])
    return hashlib.sha256(content.encode()).hexdigest()
