"""The starter library: what customers report, what to test for it, and how.

One TOML file a system beside this module, and `cautions.toml`. Generic limits carry a mark
for where they come from: R read in a named source, M from memory of one, P common practice,
C computed. The vehicle maker's figure beats every one of them.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

from diagnostics.catalogue.rows import CatalogueError, Row

__all__ = [
    "Catalogue",
    "CatalogueError",
    "Caution",
    "Protocol",
    "Step",
    "Symptom",
    "System",
    "TestKind",
    "load",
    "read",
]

KINDS = ("numeric", "attribute", "code")
LIMIT_SOURCES = ("R", "M", "P", "C")
PATTERNS = ("constant", "intermittent")
PHASES = ("before", "after")
FEWEST_STEPS, MOST_STEPS = 2, 8
LONGEST_TEST_MINUTES = 480
CAUTIONS_FILE = "cautions.toml"

_SYSTEM_KEYS = ("code", "name", "nhtsa", "symptom", "test", "protocol")
_SYMPTOM_KEYS = ("code", "name", "says", "pattern")
_NUMERIC_KEYS = ("quantity", "unit", "lo", "hi", "limit_source")
_TEST_KEYS = (
    "code", "name", "plain", "kind", *_NUMERIC_KEYS, "limit_says",
    "minutes", "point", "repeatable", "how", "cautions",
)  # fmt: skip
_PROTOCOL_KEYS = ("symptom", "version", "steps")
_STEP_KEYS = ("test", "phase", "critical")


@dataclass(frozen=True, slots=True)
class Caution:
    """One hazard and the usual care; defers to the maker's procedure and local rules."""

    code: str
    title: str
    text: str


@dataclass(frozen=True, slots=True)
class System:
    """One system of a vehicle; `nhtsa` is its open complaint category."""

    code: str
    name: str
    nhtsa: str


@dataclass(frozen=True, slots=True)
class Symptom:
    """What a customer reports of one system, with the words they use; pattern may be empty."""

    code: str
    system: str
    name: str
    says: str
    pattern: str = ""


@dataclass(frozen=True, slots=True)
class TestKind:
    """One kind of test. Limits are generic, in `unit`; a missing limit means only the maker has one."""

    __test__ = False

    code: str
    system: str
    name: str
    plain: str
    kind: str
    quantity: str
    unit: str
    lo: Decimal | None
    hi: Decimal | None
    limit_source: str
    limit_says: str
    minutes: int
    point: str
    repeatable: bool
    how: str
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Step:
    """One required test of a protocol."""

    test: str
    phase: str
    critical: bool = False


@dataclass(frozen=True, slots=True)
class Protocol:
    """The tests that one symptom requires, in the order to do them."""

    symptom: str
    version: int
    steps: tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class Catalogue:
    """Everything in the files, by code; `protocols` by the code of their symptom."""

    systems: dict[str, System] = field(default_factory=dict)
    symptoms: dict[str, Symptom] = field(default_factory=dict)
    tests: dict[str, TestKind] = field(default_factory=dict)
    protocols: dict[str, Protocol] = field(default_factory=dict)
    cautions: dict[str, Caution] = field(default_factory=dict)


@cache
def load() -> Catalogue:
    """Return the catalogue that comes with the program; read once, then kept.

    Raises
    ------
    CatalogueError
        If a file has a slip. The message names file, code, field and what is allowed.
    """
    return read(Path(__file__).parent)


def read(folder: Path) -> Catalogue:
    """Return the catalogue in the TOML files of `folder`.

    Parameters
    ----------
    folder : Path
        Holds `cautions.toml` and one more `.toml` file a system.

    Raises
    ------
    CatalogueError
        If a file is no TOML, a field is missing, unknown or out of range, a code is used
        twice, or a code named elsewhere does not exist.
    """
    catalogue = Catalogue(cautions=_read_cautions(folder / CAUTIONS_FILE))
    protocol_files: list[tuple[str, list[Any]]] = []
    for path in sorted(folder.glob("*.toml")):
        if path.name == CAUTIONS_FILE:
            continue
        row = Row(path.name, _parse(path), _SYSTEM_KEYS)
        system = System(row.identifier(), row.text("name"), row.text("nhtsa"))
        _add(row, catalogue.systems, system.code, system)
        for symptom_row in _rows(row, "symptom", _SYMPTOM_KEYS):
            symptom = _read_symptom(symptom_row, system.code)
            _add(symptom_row, catalogue.symptoms, symptom.code, symptom)
        for test_row in _rows(row, "test", _TEST_KEYS):
            test = _read_test(test_row, system.code, catalogue.cautions)
            _add(test_row, catalogue.tests, test.code, test)
        protocol_files.append((path.name, row.tables("protocol")))
    # A protocol may use a test of another system, so protocols come when all tests are known.
    for file, tables in protocol_files:
        for table in tables:
            _read_protocol(file, table, catalogue)
    _require_protocols(catalogue)
    return catalogue


def _parse(path: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError:
        raise CatalogueError(path.name, "(file)", "(file)", "It cannot be read.", "a TOML file") from None
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise CatalogueError(path.name, "(file)", "(file)", f"{error}.", "TOML in UTF-8") from None


def _rows(row: Row, name: str, keys: tuple[str, ...]) -> Iterator[Row]:
    return (Row(row.file, table, keys) for table in row.tables(name))


def _add(row: Row, known: dict[str, Any], code: str, item: object) -> None:
    if code in known:
        row.refuse("code", f"'{code}' is used twice.", "a code that nothing else of its kind has")
    known[code] = item


def _read_cautions(path: Path) -> dict[str, Caution]:
    rows = {code: Row(path.name, table, ("title", "text"), code) for code, table in _parse(path).items()}
    return {code: Caution(code, row.text("title"), row.text("text")) for code, row in rows.items()}


def _read_symptom(row: Row, system: str) -> Symptom:
    pattern = row.choice("pattern", PATTERNS) if row.has("pattern") else ""
    return Symptom(row.identifier(), system, row.text("name"), row.text("says"), pattern)


def _read_test(row: Row, system: str, cautions: Iterable[str]) -> TestKind:
    kind = row.choice("kind", KINDS)
    lo, hi = row.number("lo"), row.number("hi")
    _check_limits(row, kind, lo, hi)
    for caution in row.texts("cautions"):
        if caution not in cautions:
            row.refuse("cautions", f"'{caution}' is not known here.", ", ".join(cautions))
    return TestKind(
        code=row.identifier(),
        system=system,
        name=row.text("name"),
        plain=row.text("plain"),
        kind=kind,
        quantity=row.optional_text("quantity"),
        unit=row.optional_text("unit"),
        lo=lo,
        hi=hi,
        limit_source=row.choice("limit_source", LIMIT_SOURCES) if row.has("limit_source") else "",
        limit_says=row.optional_text("limit_says"),
        minutes=row.whole("minutes", LONGEST_TEST_MINUTES),
        point=row.text("point"),
        repeatable=row.flag("repeatable", default=True),
        how=row.text("how"),
        cautions=row.texts("cautions"),
    )


def _check_limits(row: Row, kind: str, lo: Decimal | None, hi: Decimal | None) -> None:
    if kind != "numeric":
        for key in _NUMERIC_KEYS:
            if row.has(key):
                row.refuse(key, f"A test of kind '{kind}' has no {key}.", "leave it out")
        return
    for key in ("quantity", "unit", "limit_says"):
        row.text(key)
    if lo is None and hi is None:
        if row.has("limit_source"):
            row.refuse("limit_source", "There is no limit to mark.", "leave it out, or give lo or hi")
        return
    row.choice("limit_source", LIMIT_SOURCES)
    if lo is not None and hi is not None and lo > hi:
        row.refuse("lo", f"{lo} is above hi, {hi}.", "lo not above hi")


def _read_protocol(file: str, table: object, catalogue: Catalogue) -> None:
    row = Row(file, table, _PROTOCOL_KEYS, code="protocol")
    symptom = row.code = row.text("symptom")
    if symptom not in catalogue.symptoms:
        row.refuse("symptom", f"'{symptom}' is no symptom.", "the code of a [[symptom]]")
    steps = tuple(_read_step(Row(file, step, _STEP_KEYS, symptom), catalogue) for step in row.tables("steps"))
    if not FEWEST_STEPS <= len(steps) <= MOST_STEPS:
        row.refuse("steps", f"There are {len(steps)}.", f"{FEWEST_STEPS} to {MOST_STEPS} steps")
    if len({(step.test, step.phase) for step in steps}) < len(steps):
        row.refuse("steps", "One test stands twice in one phase.", "each test once in each phase")
    if all(step.phase != "after" for step in steps):
        row.refuse("steps", "Nothing is read after the work.", "at least one step with phase after")
    _add(row, catalogue.protocols, symptom, Protocol(symptom, row.whole("version", 999), steps))


def _read_step(row: Row, catalogue: Catalogue) -> Step:
    test = row.text("test")
    if test not in catalogue.tests:
        row.refuse("steps", f"'{test}' is no test.", "the code of a [[test]] in any file")
    return Step(test, row.choice("phase", PHASES), row.flag("critical", default=False))


def _require_protocols(catalogue: Catalogue) -> None:
    for symptom in catalogue.symptoms.values():
        if symptom.code not in catalogue.protocols:
            file, allowed = f"{symptom.system}.toml", "one [[protocol]] a symptom"
            raise CatalogueError(file, symptom.code, "protocol", "It has none.", allowed)
