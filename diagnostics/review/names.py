"""What codes are called on a page."""

from __future__ import annotations

from shop.models import Symptom, System


def system_names() -> dict[str, str]:
    """Return every system's name by its code."""
    return dict(System.objects.values_list("code", "name"))


def symptom_names() -> dict[str, str]:
    """Return every symptom's name by its code."""
    return dict(Symptom.objects.values_list("code", "name"))


def words(code: str) -> str:
    """Return a code as words: "standing draw"."""
    return code.replace("_", " ").strip()
