"""The words that stand for the shop's codes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from diagnostics.judging import is_blank
from diagnostics.snapshot import Complaint, Test
from invoicing.wording import code_words


@dataclass(frozen=True, slots=True)
class LimitOrigin:
    """Whose limit it is: in a word or two, and in full."""

    short: str
    says: str = ""


@dataclass(frozen=True, slots=True)
class Names:
    """Plain names by code, and what the record of a test says beside the snapshot, by test id."""

    tests: Mapping[str, str] = field(default_factory=dict)
    systems: Mapping[str, str] = field(default_factory=dict)
    symptoms: Mapping[str, str] = field(default_factory=dict)
    origins: Mapping[str, LimitOrigin] = field(default_factory=dict)
    conditions: Mapping[str, str] = field(default_factory=dict)

    def test(self, code: str) -> str:
        """Return the plain name of a test, or its code in words."""
        named = self.tests.get(code.strip(), "") or code_words(code)
        return named[:1].upper() + named[1:]

    def where(self, test: Test) -> str:
        """Return where and in which conditions a reading was taken."""
        place = "" if is_blank(test.point) else code_words(test.point)
        conditions = self.conditions.get(test.id, "").strip()
        return "; ".join(part for part in (place, conditions) if part)

    def symptom(self, complaint: Complaint) -> str:
        """Return what the complaint is called: its symptom, else its system, else "the complaint"."""
        if not is_blank(complaint.symptom):
            return self.symptoms.get(complaint.symptom, "") or code_words(complaint.symptom)
        if not is_blank(complaint.system):
            return self.system(complaint.system)
        return "the complaint"

    def system(self, code: str) -> str:
        """Return the name of a system."""
        return self.systems.get(code, "") or code_words(code)

    def origin(self, test: Test) -> LimitOrigin:
        """Return whose limit a test was judged by."""
        return self.origins.get(test.id) or LimitOrigin("set by the shop for this vehicle")
