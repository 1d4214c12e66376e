"""Read a scan report of any layout: modules, codes, states, monitors, and what was not understood.

No layout is known by name. A line is taken for what its words and its neighbours say; what fits nothing is
listed as not understood, and what was read with a doubt says so. The text itself is kept whole elsewhere.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from diagnostics.codes import words
from diagnostics.codes.code_lines import read_codes
from diagnostics.codes.decoding import Unreadable, check_text
from diagnostics.codes.draft import Draft
from diagnostics.codes.fields import fields_on_one_line, label_before, read_bare_fact, read_field
from diagnostics.codes.found import ScanText
from diagnostics.codes.headings import Heading, labelled_heading, likely_heading, unit_before
from diagnostics.codes.live import Readiness
from diagnostics.codes.markup import lines_of_markup
from diagnostics.codes.spotting import Answer, answer_in, misread_codes, written_codes
from diagnostics.codes.structured import read_structure
from diagnostics.codes.tables import Table, read_row, table_head

Line = tuple[int, str]

LONGEST_LINE = 4_000
MOST_LINES = 60_000
NEAR = 20  # Lines of one block of fields.
_NO_WORDS = re.compile(r"[\W_]*")
_COUNT_OF_CODES = re.compile(
    r"\d{1,4} (?:codes?|dtcs?|faults?|errors?)(?: (?:found|stored|present|set))?", re.I
)
_STATED = re.compile(r"\b(?:pending|permanent|history|historic\w*|other|new|further|more)\b", re.I)


def read_scan(text: str) -> ScanText:
    """Return what a scan report says.

    Parameters
    ----------
    text : str
        As pasted or decoded from a file; any layout: lines, tables, CSV, HTML, JSON, XML.

    Returns
    -------
    ScanText
        Modules and codes with their lines; nothing is left out in silence.

    Raises
    ------
    Unreadable
        If the text is too long or no text at all.

    References
    ----------
    .. [1] SAE J2012, SAE J1979 and ISO 14229-1 for codes and bytes, see `structure` and `answers`.
    """
    clean = check_text(text)
    numbered = list(enumerate(clean.splitlines(), start=1))
    if len(numbered) > MOST_LINES:
        raise Unreadable(f"This report has {len(numbered)} lines; {MOST_LINES} are the most that are read.")
    page = lines_of_markup(clean)
    draft = None if page else read_structure(clean)
    if draft is None:
        draft = Draft()
        _Reader(draft, page or numbered).read()
    return draft.done(lines=len(numbered))


class _Reader:
    """Goes through the lines; each kind of line has one method that says whether it was one."""

    def __init__(self, draft: Draft, lines: Sequence[Line]) -> None:
        self.draft, self.lines = draft, lines
        self.table: Table | None = None
        self.place = 0

    def read(self) -> None:
        for place, (number, text) in enumerate(self.lines):
            self.place = place
            if len(text) > LONGEST_LINE:
                self._long(number, text)
            elif not text.strip():
                self.draft.blank()
            elif cells := fields_on_one_line(text):
                for cell in cells:
                    self._read_one(number, cell)
            elif not _NO_WORDS.fullmatch(text):
                self._read_one(number, text)

    def _read_one(self, number: int, text: str) -> None:
        kinds = (
            self._row, self._head, self._answer, self._codes, self._silence, self._field,
            self._monitor, self._section, self._heading, self._known, self._continued,
        )  # fmt: skip
        if not any(kind(number, text) for kind in kinds):
            self._leave(number, text)

    def _long(self, number: int, text: str) -> None:
        """A line of a page's length has no shape; the codes in it are found all the same."""
        for spot in written_codes(text):
            self.draft.add(spot.code, number, spot.typed)
        self.draft.leave(number, text, "The line is too long to be read as a line; only its codes were.")

    def _row(self, number: int, text: str) -> bool:
        if self.table is None:
            return False
        if read_row(self.draft, self.table, text, number):
            return True
        if table_head(text) is None and not self.table.separator:
            self.table = None
        return False

    def _head(self, number: int, text: str) -> bool:
        head = None if written_codes(text) else table_head(text)
        if head is None:
            return False
        self.table = head
        return True

    def _answer(self, number: int, text: str) -> bool:
        found = answer_in(text)
        if found is None:
            return False
        if found.why:
            self.draft.leave(number, text, found.why)
            return True
        self._take(found, number, text)
        return True

    def _take(self, answer: Answer, number: int, text: str) -> None:
        draft = self.draft
        if answer.address and not (draft.current and draft.current.address in ("", answer.address)):
            draft.open("", number, answer.address)
        if answer.readiness:
            self._see_readiness(answer.readiness)
        for code, states in answer.codes:
            draft.add(code, number, text, form="answer", states=states)
        if answer.doubt:
            draft.doubt(number, text, answer.doubt)
        if not (answer.codes or answer.readiness):
            draft.see_no_codes()

    def _see_readiness(self, found: Readiness) -> None:
        self.draft.readiness, self.draft.lamp = found, found.mil

    def _codes(self, number: int, text: str) -> bool:
        for typed, meant in misread_codes(text):
            why = f"{typed} has a letter where {meant} has a digit. Read the report again."
            self.draft.leave(number, text, why)
        return read_codes(self.draft, number, text)

    def _silence(self, number: int, text: str) -> bool:
        """No response, no codes: of the unit on the line, or of the one above it."""
        for pattern, see in (
            (words.NO_RESPONSE, self._no_response),
            (words.NO_CODES, self._no_codes),
            (words.PASSED, self._passed),
        ):
            # The word OK stands at the end of its line; long runs of blanks would make the search slow.
            start = max(0, len(text) - 60) if pattern is words.PASSED else 0
            if match := pattern.search(text, start):
                rest = f"{text[: match.start()]} {text[match.end() :]}"
                return see(number, rest, match)
        return False

    def _no_response(self, number: int, rest: str, match: re.Match[str]) -> bool:
        if not self._name(rest, number):
            return False
        if self.draft.current is None:
            return False
        self.draft.current.answered = False
        return True

    def _no_codes(self, number: int, rest: str, match: re.Match[str]) -> bool:
        which = match.groupdict().get("which") or ""
        if not self._name(rest, number):
            return False
        if not _STATED.search(which) and not set(self.draft.section) & {"pending", "permanent", "history"}:
            self.draft.see_no_codes()
        return True

    def _passed(self, number: int, rest: str, match: re.Match[str]) -> bool:
        if not words.UNIT_WORD.search(rest) or words.monitor_in(f"{rest.strip()} ok"):
            return False
        return self._no_codes(number, rest, match)

    def _name(self, rest: str, number: int) -> bool:
        """Open the unit that the rest of a line names. False: the rest is a sentence, not a unit."""
        if not re.search(r"\w", rest) or words.NO_UNIT.match(rest.strip(" :.-–")):
            return True
        if words.states_in(rest):
            return True
        unit = unit_before(rest)
        if unit is None:
            return False
        self._open(unit, number)
        return True

    def _field(self, number: int, text: str) -> bool:
        return read_field(self.draft, number, text)

    def _monitor(self, number: int, text: str) -> bool:
        found = words.monitor_in(text.strip(' \t-*•|,;"'))
        if found is None:
            return False
        self.draft.see_monitor(found[0], found[1], number)  # type: ignore[arg-type]
        return True

    def _section(self, number: int, text: str) -> bool:
        """A line of states alone: over codes it is a heading, under one it is the state of that code."""
        states = words.states_in(text.strip(" \t=-*#~_"))
        if not states:
            return self._heading_of_codes(text)
        if self._is_of_last(text) and not words.is_section(text):
            self.draft.amend(states=states)
            return True
        self.draft.section, self.draft.last = states, None
        return True

    def _is_of_last(self, text: str) -> bool:
        """Whether a state stands under a code that has none yet, and not further out than the code."""
        last = self.draft.last
        if last is None or last.states:
            return False
        above = next(
            (
                line
                for number, line in self.lines[max(0, self.place - NEAR) : self.place]
                if number == last.line
            ),
            "",
        )
        return _indent(text) >= _indent(above)

    def _heading_of_codes(self, text: str) -> bool:
        """ "Fault codes:" says that codes follow and nothing about their state."""
        bare = text.strip(" \t=-*#~_:.").rstrip("0123456789 ()[]")
        if words.label_of(bare) != "code" and not _COUNT_OF_CODES.fullmatch(bare):
            return False
        self.draft.section = ()
        return True

    def _heading(self, number: int, text: str) -> bool:
        unit = labelled_heading(text)
        if unit is None or (unit.name and words.NO_UNIT.match(unit.name)):
            follows = self._next()
            indents = _indent(follows) > _indent(text)
            unit = likely_heading(text, introduces=_introduced(follows), indents=indents)
        if unit is None:
            return False
        if self._names_unit_last(number):
            self.draft.move_block(unit.name, number, unit.address)
            return True
        self._open(unit, number)
        if unit.count == 0:
            self.draft.see_no_codes()
        return True

    def _names_unit_last(self, number: int) -> bool:
        """Whether this line closes a block of fields that began with its code: "Code: …", then "ECU: …"."""
        if not self.draft.block or self.draft.block_has_unit:
            return False
        first = self.draft.block[0].line
        line = next(
            (text for place, text in self.lines[max(0, self.place - NEAR) : self.place] if place == first), ""
        )
        return label_before(line) == "code"

    def _open(self, unit: Heading, number: int) -> None:
        self.draft.open(unit.name, number, unit.address)
        if self.table is not None and self.table.has("module"):
            self.table = None

    def _known(self, number: int, text: str) -> bool:
        return read_bare_fact(self.draft, number, text)

    def _continued(self, number: int, text: str) -> bool:
        """What stands under a code, further in than the line of the code, is its text."""
        last = self.draft.last
        if last is None or last.text or not self.place or self.lines[self.place - 1][0] != last.line:
            return False
        if _indent(text) <= _indent(self.lines[self.place - 1][1]):
            return False
        self.draft.amend(text=" ".join(text.split())[:300])
        return True

    def _leave(self, number: int, text: str) -> None:
        if not any(remark.line == number and remark.why for remark in self.draft.unread[-3:]):
            self.draft.leave(number, text)

    def _next(self) -> str:
        """The next line with words on it, of the two that follow."""
        following = (text for _, text in self.lines[self.place + 1 : self.place + 3])
        return next((text for text in following if text.strip() and not _NO_WORDS.fullmatch(text)), "")


def _indent(text: str) -> int:
    expanded = text[:200].expandtabs(4)
    return len(expanded) - len(expanded.lstrip())


def _introduced(text: str) -> bool:
    """Whether a line is one that follows the name of a unit."""
    if not text or len(text) > LONGEST_LINE:
        return False
    return bool(
        written_codes(text)
        or words.NO_CODES.search(text)
        or words.NO_RESPONSE.search(text)
        or words.states_in(text.strip(" \t=-*#~_"))
        or answer_in(text)
        or table_head(text)
        or _is_code_label(text)
    )


def _is_code_label(text: str) -> bool:
    return label_before(text) in ("code", "address")
