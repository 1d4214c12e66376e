"""What codes are called on a page."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from diagnostics.models import TestKind
from shop.models import Symptom, System


@dataclass(frozen=True, slots=True)
class TestNames:
    """Names and minutes of the tests in force; a code of no test is read out as words."""

    __test__ = False  # Not a test class, whatever pytest thinks of the name.

    names: Mapping[str, str]
    minutes_by_code: Mapping[str, int]

    def of(self, code: str) -> str:
        """Return what a test is called."""
        return self.names.get(code.strip()) or words(code)

    def minutes(self, code: str) -> int | None:
        """Return how long a test takes, None where no such test is in force. [min]"""
        return self.minutes_by_code.get(code.strip())


def test_names(codes: Iterable[str]) -> TestNames:
    """Return the names of these tests, from one query."""
    kinds = TestKind.objects.filter(code__in={code.strip() for code in codes}, is_current=True)
    rows = list(kinds.order_by().values_list("code", "name", "minutes"))
    return TestNames({code: name for code, name, _ in rows}, {code: minutes for code, _, minutes in rows})


test_names.__test__ = False  # type: ignore[attr-defined]


def system_names() -> dict[str, str]:
    """Return every system's name by its code."""
    return dict(System.objects.values_list("code", "name"))


def symptom_names() -> dict[str, str]:
    """Return every symptom's name by its code."""
    return dict(Symptom.objects.values_list("code", "name"))


def words(code: str) -> str:
    """Return a code as words: "standing draw"."""
    return code.replace("_", " ").strip()
