"""Two scans of one vehicle side by side, and the control units that should have answered.

A code that is gone proves nothing by itself: its unit may have been silent, or the monitor that would set it
again may not have run. Both are said.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from diagnostics.codes.found import FoundCode, Module
from diagnostics.codes.live import MONITORS
from shared.wording import and_list, count_text

# Abbreviations of SAE J1930 and the trade, from memory, and the one word under which units are matched.
_ALIASES = {
    "ecm": "engine", "pcm": "engine", "powertrain": "engine", "tcm": "transmission", "tcu": "transmission",
    "gearbox": "transmission", "abs": "brakes", "ebcm": "brakes", "brake": "brakes", "antilock": "brakes",
    "srs": "restraints", "airbag": "restraints", "airbags": "restraints", "restraint": "restraints",
    "bcm": "body", "ipc": "instruments", "instrument": "instruments", "cluster": "instruments",
    "dashboard": "instruments", "eps": "steering", "power": "", "hvac": "climate", "heating": "climate",
    "doors": "door", "seats": "seat",
}  # fmt: skip
_SAY_NOTHING = {
    "control",
    "module",
    "unit",
    "system",
    "electronic",
    "electronics",
    "ecu",
    "computer",
    "controller",
    "the",
}
CLEARED, REMAINING, NEW, CHANGED, UNKNOWN = "cleared", "remaining", "new", "changed", "unknown"


@dataclass(frozen=True, slots=True)
class Scan:
    """What a comparison needs of one scan."""

    modules: tuple[Module, ...]
    supported: tuple[str, ...] = ()
    incomplete: tuple[str, ...] = ()
    has_monitors: bool = False


@dataclass(frozen=True, slots=True)
class Change:
    """One code in two scans. `kind` is cleared, remaining, new, changed (its state) or unknown."""

    kind: str
    module: str
    before: FoundCode | None
    after: FoundCode | None
    why: str = ""

    @property
    def code(self) -> FoundCode:
        found = self.before or self.after
        assert found is not None
        return found


@dataclass(frozen=True, slots=True)
class Comparison:
    """Every code of both scans once, and what keeps the result from being proof."""

    changes: tuple[Change, ...]
    warnings: tuple[str, ...]

    def of(self, kind: str) -> tuple[Change, ...]:
        """Return the changes of one kind."""
        return tuple(change for change in self.changes if change.kind == kind)


@dataclass(frozen=True, slots=True)
class Earlier:
    """Another scan that says which units a vehicle has: when or of which vehicle, and its modules."""

    label: str
    modules: tuple[Module, ...]


@dataclass(frozen=True, slots=True)
class Missing:
    """A unit that should be there and gave nothing: named as silent, or not named at all."""

    name: str
    address: str
    key: str
    is_silent: bool
    why: str


def module_key(name: str, address: str = "") -> str:
    """Return the word under which a unit is the same in two reports; the address where it has no name."""
    tokens = re.findall(r"[^\W_]+", name.casefold().replace("anti-lock", "antilock"))
    kept = {_ALIASES.get(token, token) for token in tokens if token not in _SAY_NOTHING} - {""}
    return " ".join(sorted(kept)) or address.casefold()


def compare(before: Scan, after: Scan) -> Comparison:
    """Return what became of each code between two scans of one vehicle.

    Codes are the same where unit, code and failure type are; a report without units is matched by code alone.
    A code that is not in the second scan is cleared only if its unit answered in it; else it is unknown.
    """
    first, second = _by_place(before), _by_place(after)
    pairs = _paired(first, second)
    changes = [_change(key, pairs.get(key, key), first, second, after) for key in first]
    taken = set(pairs.values())
    changes += [Change(NEW, name, None, found) for key, (name, found) in second.items() if key not in taken]
    return Comparison(tuple(changes), _warnings(after))


def missing_modules(
    now: Sequence[Module], own: Sequence[Earlier], platform: Sequence[Earlier]
) -> tuple[Missing, ...]:
    """Return the units that should have answered: those of the vehicle's earlier scans, then of its platform.

    Parameters
    ----------
    now : modules of the scan at hand
    own : earlier scans of the same vehicle
    platform : one scan of each other vehicle of the same maker, model and years

    Returns
    -------
    tuple of Missing
        Silent ones first. None of them is taken for not fitted: that is an assumption a person settles.
    """
    answered = {module_key(row.name, row.address) for row in now if row.answered is not False}
    missing = {
        module_key(row.name, row.address): _missing(row, is_silent=True, why="the report names it as silent")
        for row in now
        if row.answered is False and module_key(row.name, row.address)
    }
    for earlier in own:
        for row in _answering(earlier):
            key = module_key(row.name, row.address)
            if key not in answered:
                missing.setdefault(key, _missing(row, is_silent=False, why=f"answered in {earlier.label}"))
    for key, (row, count) in _counted(platform).items():
        if key not in answered:
            why = f"answered in {count} of {count_text(len(platform), 'other vehicle')} of this model"
            missing.setdefault(key, _missing(row, is_silent=False, why=why))
    return tuple(missing.values())


def not_proved(supported: Iterable[str], incomplete: Iterable[str], *, has_monitors: bool) -> str:
    """Return why the absence of codes proves nothing here; empty where every monitor finished."""
    if not has_monitors:
        return (
            "The report says nothing about monitors. After clearing, codes are absent until the monitors "
            "have run."
        )
    unfinished = [MONITORS.get(name, name) for name in incomplete]
    if unfinished:
        return f"Not finished: {and_list(unfinished)}. A code that is gone may come back when they have run."
    return "" if tuple(supported) else "The report names no monitor as fitted, so it proves nothing."


Key = tuple[str, str]


def _by_place(scan: Scan) -> dict[Key, tuple[str, FoundCode]]:
    return {
        (module_key(module.name, module.address), str(found.code)): (module.name or module.address, found)
        for module in scan.modules
        for found in module.codes
    }


def _paired(first: Iterable[Key], second: Iterable[Key]) -> dict[Key, Key]:
    """Keys of the first scan with those of the second; one that names no unit meets any."""
    pairs = {key: key for key in first if key in second}
    for key in first:
        if key in pairs:
            continue
        free = (other for other in second if other not in pairs.values() and other[1] == key[1])
        match = next((other for other in free if not (key[0] and other[0])), None)
        if match:
            pairs[key] = match
    return pairs


def _change(
    key: Key,
    other: Key,
    first: dict[Key, tuple[str, FoundCode]],
    second: dict[Key, tuple[str, FoundCode]],
    after: Scan,
) -> Change:
    name, found = first[key]
    if other in second:
        now = second[other][1]
        same = set(found.states) == set(now.states)
        return Change(REMAINING if same else CHANGED, name, found, now)
    why = _why_unknown(key[0], after)
    return Change(UNKNOWN if why else CLEARED, name, found, None, why)


def _why_unknown(key: str, after: Scan) -> str:
    """Why a code that is not shown cannot be called cleared."""
    units = [row for row in after.modules if row.name or row.address]
    if not key or not units:
        return ""
    unit = next((row for row in units if module_key(row.name, row.address) == key), None)
    if unit is None:
        return "its control unit is not in the second scan"
    return "its control unit did not answer in the second scan" if unit.answered is False else ""


def _warnings(after: Scan) -> tuple[str, ...]:
    silent = [row.name or row.address for row in after.modules if row.answered is False]
    said = not_proved(after.supported, after.incomplete, has_monitors=after.has_monitors)
    return tuple(
        text
        for text in (said, f"Did not answer in the second scan: {and_list(silent)}." if silent else "")
        if text
    )


def _answering(earlier: Earlier) -> list[Module]:
    return [row for row in earlier.modules if row.answered is not False and module_key(row.name, row.address)]


def _counted(platform: Sequence[Earlier]) -> dict[str, tuple[Module, int]]:
    counted: dict[str, tuple[Module, int]] = {}
    for earlier in platform:
        for key, row in {module_key(row.name, row.address): row for row in _answering(earlier)}.items():
            counted[key] = (counted.get(key, (row, 0))[0], counted.get(key, (row, 0))[1] + 1)
    return counted


def _missing(row: Module, *, is_silent: bool, why: str) -> Missing:
    return Missing(row.name, row.address, module_key(row.name, row.address), is_silent, why)
