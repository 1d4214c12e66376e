"""What was understood of a report so far, while its lines are read one by one."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from diagnostics.codes.found import FoundCode, Module, Monitor, MonitorState, Odometer, Remark, ScanText
from diagnostics.codes.live import Readiness
from diagnostics.codes.structure import Code
from shared.wording import count_text

MOST_CODES = 5_000  # A report of every unit of a large vehicle has some hundreds.
MOST_MODULES = 1_000
LONGEST_TEXT = 300
LONGEST_NAME = 100
LONGEST_TYPED = 40


@dataclass(slots=True)
class DraftModule:
    """One control unit while its codes come in."""

    name: str
    address: str
    line: int
    answered: bool | None = None
    says_no_codes: bool = False
    codes: dict[Code, FoundCode] = field(default_factory=dict)

    def done(self) -> Module:
        codes = tuple(self.codes.values())
        answered = True if codes or (self.says_no_codes and self.answered is None) else self.answered
        return Module(self.name, self.address, self.line, answered, self.says_no_codes and not codes, codes)


class Draft:
    """Collects modules, codes and the rest. `section` are the states that a heading gives to what follows."""

    def __init__(self) -> None:
        self.modules: list[DraftModule] = []
        self.current: DraftModule | None = None
        self.section: tuple[str, ...] = ()
        self.paragraph: tuple[str, ...] = ()
        self.last: FoundCode | None = None
        self.block: list[FoundCode] = []  # Codes since the last empty line.
        self.block_has_unit = False
        self._units_come_last = False
        self.vin = ""
        self.odometer: Odometer | None = None
        self.dates: list[Remark] = []
        self.lamp: bool | None = None
        self.monitors: list[Monitor] = []
        self.readiness: Readiness | None = None
        self.says_no_codes = False
        self.doubts: list[Remark] = []
        self.unread: list[Remark] = []
        self._left_out = self._kept = 0
        self._by_name: dict[str, list[DraftModule]] = {}
        self._by_address: dict[str, DraftModule] = {}

    def blank(self) -> None:
        """A line without words: what was said about the code above it ends here."""
        self.last, self.paragraph = None, ()
        self.block, self.block_has_unit = [], False
        if self._units_come_last:
            self.current = None

    def move_block(self, name: str, line: int, address: str) -> None:
        """Give the codes since the last empty line to the unit that is named behind them."""
        moved, source = self.block, self.current
        target = self.open(name, line, address)
        self._units_come_last = True
        for found in moved:
            if source is not None and source is not target:
                kept = source.codes.pop(found.code, None)
                target.codes.setdefault(found.code, kept or found)
                self.last = target.codes[found.code]

    def open(self, name: str, line: int, address: str = "") -> DraftModule:
        """Make a module the current one; one that was named before is taken up again."""
        name, address = " ".join(name.split())[:LONGEST_NAME], address.upper().replace("0X", "0x")[:20]
        found = self._known(name, address)
        if found is None and len(self.modules) >= MOST_MODULES:
            found = self.modules[-1]
        if found is None:
            found = DraftModule(name, address, line)
            self.modules.append(found)
            self._by_name.setdefault(name.casefold(), []).append(found)
        found.address = found.address or address
        if address:
            self._by_address.setdefault(address, found)
        self.current, self.section, self.last, self.paragraph = found, (), None, ()
        self.block_has_unit = True
        return found

    def add(self, code: Code, line: int, typed: str, **about: object) -> None:
        """Keep a code under the current module; said twice with the same states it is kept once."""
        states = about.pop("states", ()) or self.paragraph or self.section
        found = FoundCode(code, line, " ".join(typed.split())[:LONGEST_TYPED], states=states, **about)  # type: ignore[arg-type]
        found = replace(found, text=" ".join(found.text.split())[:LONGEST_TEXT])
        module = self.current or self._unnamed(line)
        twin = module.codes.get(code)
        if twin is not None:
            self.last = twin
            states = tuple(dict.fromkeys([*twin.states, *found.states]))
            self.amend(states=states, text=twin.text or found.text)
        elif self._kept >= MOST_CODES:
            self._left_out += 1
        else:
            self._kept += 1
            module.codes[code] = self.last = found
            self.block.append(found)

    def _unnamed(self, line: int) -> DraftModule:
        """A unit without a name for codes that stand before any; it does not count as named in its block."""
        section, paragraph = self.section, self.paragraph
        module = self.open("", line)
        self.section, self.paragraph, self.block_has_unit = section, paragraph, False
        return module

    def amend(self, **changes: object) -> None:
        """Say more about the code that was found last."""
        if self.last is None or self.current is None:
            return
        codes = self.current.codes
        changed = replace(self.last, **changes)  # type: ignore[arg-type]
        if changed.code != self.last.code:
            codes.pop(self.last.code)
        codes[changed.code] = self.last = changed

    def _known(self, name: str, address: str) -> DraftModule | None:
        """One name with two addresses is two modules; an address alone takes up the module that has it."""
        if not name and address:
            return self._by_address.get(address)
        rows = self._by_name.get(name.casefold(), ())
        return next((row for row in rows if not (address and row.address) or row.address == address), None)

    def see_no_codes(self) -> None:
        """The current module, or the whole report, says that it has no codes."""
        if self.current is None:
            self.says_no_codes = True
        else:
            self.current.says_no_codes = True

    def see_monitor(self, key: str, state: MonitorState, line: int) -> None:
        self.monitors.append(Monitor(key, state, line))

    def doubt(self, line: int, text: str, why: str) -> None:
        self.doubts.append(Remark(line, text.strip()[:LONGEST_TEXT], why))

    def leave(self, line: int, text: str, why: str = "") -> None:
        self.unread.append(Remark(line, " ".join(text.split())[:LONGEST_TEXT], why))

    def done(self, lines: int) -> ScanText:
        """Return what was understood; an unnamed module without anything in it is left out."""
        if self._left_out:
            more = count_text(self._left_out, "more code")
            self.doubt(0, "", f"{more} not read: {MOST_CODES} are the most of one report.")
        modules = tuple(row.done() for row in self.modules if row.name or row.address or row.codes)
        return ScanText(
            modules=modules,
            vin=self.vin,
            odometer=self.odometer,
            dates=tuple(self.dates),
            lamp=self.lamp,
            monitors=tuple(self.monitors),
            readiness=self.readiness,
            says_no_codes=self.says_no_codes,
            doubts=tuple(self.doubts),
            unread=tuple(self.unread),
            lines=lines,
        )
