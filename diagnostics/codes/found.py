"""What was found in a scan report, each piece with its line."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from diagnostics.codes.live import Readiness, monitors_in_words
from diagnostics.codes.structure import Code

Form = Literal["text", "bytes", "answer"]
MonitorState = Literal["complete", "incomplete", "not supported"]


@dataclass(frozen=True, slots=True)
class FoundCode:
    """One code as a report has it. `states` are words such as confirmed; empty where none is said."""

    code: Code
    line: int
    typed: str
    form: Form = "text"
    states: tuple[str, ...] = ()
    text: str = ""


@dataclass(frozen=True, slots=True)
class Module:
    """One control unit of a report. The name is empty where the report names none."""

    name: str
    address: str
    line: int
    answered: bool | None = None
    """False: the report says that it did not answer. True: it gave codes or said it has none."""
    says_no_codes: bool = False
    codes: tuple[FoundCode, ...] = ()


@dataclass(frozen=True, slots=True)
class Monitor:
    """The state of one monitor as a report words it."""

    key: str
    state: MonitorState
    line: int


@dataclass(frozen=True, slots=True)
class Remark:
    """A line that was not understood, or understood with a doubt, and why."""

    line: int
    text: str
    why: str = ""


@dataclass(frozen=True, slots=True)
class Odometer:
    """A distance as the report has it; the unit is empty where it names none."""

    value: str
    unit: str
    line: int


@dataclass(frozen=True, slots=True)
class ScanText:
    """A scan report as it was understood.

    `doubts` were read in a way that a person should look at; `unread` were not understood and stand in the
    kept text alone.
    """

    modules: tuple[Module, ...] = ()
    vin: str = ""
    odometer: Odometer | None = None
    dates: tuple[Remark, ...] = ()
    lamp: bool | None = None
    monitors: tuple[Monitor, ...] = ()
    readiness: Readiness | None = None
    says_no_codes: bool = False
    doubts: tuple[Remark, ...] = ()
    unread: tuple[Remark, ...] = ()
    lines: int = field(default=0)

    @property
    def codes(self) -> tuple[FoundCode, ...]:
        return tuple(code for module in self.modules for code in module.codes)

    @property
    def silent(self) -> tuple[Module, ...]:
        """Modules that did not answer."""
        return tuple(module for module in self.modules if module.answered is False)

    @property
    def supported(self) -> tuple[str, ...]:
        """Monitors that the vehicle has, by name, sorted; from bytes where there are some."""
        if self.readiness:
            return self.readiness.supported
        return tuple(sorted({row.key for row in self.monitors if row.state != "not supported"}))

    @property
    def incomplete(self) -> tuple[str, ...]:
        """Monitors that are not finished, by name, sorted."""
        if self.readiness:
            return self.readiness.incomplete
        return tuple(sorted({row.key for row in self.monitors if row.state == "incomplete"}))

    @property
    def has_monitors(self) -> bool:
        """Whether the report says anything about monitors."""
        return bool(self.readiness or self.monitors)

    @property
    def is_empty(self) -> bool:
        """Whether neither a code, nor a module, nor the word that there is none was found."""
        return not (self.modules or self.says_no_codes)

    @property
    def monitor_words(self) -> str:
        """What the monitors allow to conclude, in a sentence."""
        if not self.has_monitors:
            return "Nothing is said about monitors. If codes were cleared lately, none shown proves nothing."
        return monitors_in_words(self.supported, self.incomplete)
