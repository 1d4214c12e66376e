"""A scan in one paragraph, as it stands on the record of a job."""

from __future__ import annotations

from collections.abc import Sequence

from diagnostics.codes.found import FoundCode, Module
from shared.wording import count_text

MOST_IN_WORDS = 60
NO_NAME = "unit not named"


def scan_in_words(modules: Sequence[Module], *, says_no_codes: bool = False) -> str:
    """Return what each unit reported, unit by unit: "Engine: P0171 (confirmed). Brakes: did not answer." """
    if not modules:
        return "No codes reported." if says_no_codes else "Nothing was understood of the report."
    sentences, left = [], MOST_IN_WORDS
    for module in modules:
        sentences.append(f"{module.name or module.address or NO_NAME}: {_module_words(module, left)}.")
        left = max(0, left - len(module.codes))
    return " ".join(sentences)[:4000]


def code_words(found: FoundCode) -> str:
    """Return a code with its states: "P0171 (confirmed, current)"."""
    return f"{found.code} ({', '.join(found.states)})" if found.states else str(found.code)


def _module_words(module: Module, most: int) -> str:
    if module.answered is False and not module.codes:
        return "did not answer"
    if not module.codes:
        return "no codes" if module.says_no_codes else "nothing said about codes"
    shown = ", ".join(code_words(found) for found in module.codes[:most])
    rest = len(module.codes) - most
    return f"{shown} and {count_text(rest, 'more code')}" if rest > 0 else shown
