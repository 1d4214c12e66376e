"""What the values of a breakdown are called; each table of names is read once, when it is first asked for."""

from __future__ import annotations

from datetime import date
from functools import cached_property

from diagnostics.models import TestKind
from diagnostics.models.protocol import PHASES
from diagnostics.review.names import symptom_names, system_names, words
from shop.models import Location, PartFitted, RepairOrder

PHASE_WORDS = dict(PHASES)
CHAINS = {"complete": "complete", "explained": "explained at", "broken": "broken at"}


class Names:
    """Names by code; a code that nobody named stands as words."""

    @cached_property
    def _shops(self) -> dict[str, str]:
        return dict(Location.objects.values_list("code", "name"))

    @cached_property
    def _systems(self) -> dict[str, str]:
        return system_names()

    @cached_property
    def _symptoms(self) -> dict[str, str]:
        return symptom_names()

    @cached_property
    def _tests(self) -> dict[str, str]:
        return dict(TestKind.objects.filter(is_current=True).values_list("code", "name"))

    def shop(self, code: str) -> str:
        return self._shops.get(code) or code

    def system(self, code: str | None) -> str:
        return (self._systems.get(code) or words(code)) if code else "no system named"

    def symptom(self, code: str | None) -> str:
        return (self._symptoms.get(code) or words(code)) if code else "no symptom named"

    def step(self, code: str, phase: str) -> str:
        name = self._tests.get(code) or words(code)
        return f"{name}, {PHASE_WORDS[phase]}" if phase in PHASE_WORDS else name

    @staticmethod
    def plain(text: str) -> str:
        return words(text)

    @staticmethod
    def condition(code: str) -> str:
        return str(dict(PartFitted.Condition.choices).get(code, "condition not recorded"))

    @staticmethod
    def outcome(code: str) -> str:
        return str(dict(RepairOrder.Outcome.choices).get(code, code))

    @staticmethod
    def chain(state: str, link: str) -> str:
        return f"{CHAINS[state]} {link}".strip() if state in CHAINS else "no symptom complaint"

    @staticmethod
    def pattern(is_intermittent: bool | None) -> str:
        if is_intermittent is None:
            return "no symptom complaint"
        return "comes and goes" if is_intermittent else "always there"

    @staticmethod
    def month(day: date) -> str:
        return f"{day:%B %Y}"
