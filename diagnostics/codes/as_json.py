"""A scan as the keys of the command `codes`."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from diagnostics.codes.found import FoundCode, Module, Remark, ScanText
from diagnostics.codes.meanings import meaning_of
from diagnostics.codes.structure import HINT


def scan_as_json(found: ScanText, shop: Mapping[str, str] | None = None) -> dict[str, Any]:
    """Return a scan as JSON values with keys that stay.

    Parameters
    ----------
    found : ScanText
    shop : mapping of text to text
        The shop's own meanings by code.
    """
    odometer = found.odometer
    return {
        "modules": [_module(module, shop) for module in found.modules],
        "codes": [str(code.code) for code in found.codes],
        "silent": [module.name or module.address for module in found.silent],
        "no_codes": found.says_no_codes,
        "vin": found.vin or None,
        "odometer": {"value": int(odometer.value), "unit": odometer.unit or None} if odometer else None,
        "dates": [remark.text for remark in found.dates],
        "lamp": found.lamp,
        "monitors": {
            "known": found.has_monitors,
            "supported": list(found.supported),
            "incomplete": list(found.incomplete),
            "says": found.monitor_words,
        },
        "doubts": [_remark(remark) for remark in found.doubts],
        "not_understood": [_remark(remark) for remark in found.unread],
        "lines": found.lines,
        "caution": HINT,
    }


def _module(module: Module, shop: Mapping[str, str] | None) -> dict[str, Any]:
    return {
        "name": module.name or None,
        "address": module.address or None,
        "line": module.line,
        "answered": module.answered,
        "no_codes": module.says_no_codes,
        "codes": [_code(code, shop) for code in module.codes],
    }


def _code(found: FoundCode, shop: Mapping[str, str] | None) -> dict[str, Any]:
    meaning = meaning_of(found.code, shop)
    return {
        "code": found.code.base,
        "failure_type": found.code.failure_type or None,
        "failure": meaning.failure_type or None,
        "states": list(found.states),
        "system": found.code.system,
        "area": meaning.area or None,
        "control": found.code.control,
        "meaning": meaning.text or None,
        "meaning_from": meaning.source or None,
        "text": found.text or None,
        "line": found.line,
        "read_from": found.form,
    }


def _remark(remark: Remark) -> dict[str, Any]:
    return {"line": remark.line, "text": remark.text, "why": remark.why or None}
