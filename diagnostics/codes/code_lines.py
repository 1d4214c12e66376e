"""A line with codes on it: what stands before them, between them and behind them."""

from __future__ import annotations

import re
from collections.abc import Iterator

from diagnostics.codes import words
from diagnostics.codes.draft import Draft
from diagnostics.codes.headings import unit_before
from diagnostics.codes.spotting import Spot, code_in_bytes, labelled_bytes, labelled_type, written_codes
from diagnostics.codes.structure import Code

_ONLY_BETWEEN = re.compile(r"[\s,;/&+]*(?:and\s*)?", re.I)
_TYPE_WORDS = re.compile(
    r"(?:ftb|failure[ _-]?type(?: byte)?|fault type|symptom byte)\s*[:=#]?\s*(?:0x)?[0-9A-F]{2}h?\b", re.I
)
_CODE_LABEL = re.compile(
    r"(?:(?:diagnostic )?(?:dtc|trouble|fault|error)?\s*codes?|dtcs?|faults?|errors?)"
    r"(?:\s*(?:#|no\.?)?\s*\d+)?",
    re.I,
)
LONGEST_UNIT = 60


def read_codes(draft: Draft, number: int, text: str) -> bool:
    """Read the codes of a line; False where it has none."""
    spots = written_codes(text)
    if spots:
        _read_written(draft, number, text, spots)
        return True
    return _read_bytes(draft, number, text)


def _read_written(draft: Draft, number: int, text: str, spots: list[Spot]) -> None:
    states, lead = _before(draft, number, text[: spots[0].start])
    own = labelled_type(text) if len(spots) == 1 else ""
    for group, rest in _groups(text, spots):
        behind, said = _behind(rest)
        for spot in group:
            draft.add(
                Code(spot.code.base, spot.code.failure_type or own),
                number,
                spot.typed,
                states=tuple(dict.fromkeys([*states, *behind])),
                text=said or lead,
            )


def _groups(text: str, spots: list[Spot]) -> Iterator[tuple[list[Spot], str]]:
    """Give codes that stand in one row with nothing but commas between, and the words behind the last."""
    group: list[Spot] = []
    for spot, following in zip(spots, [*spots[1:], None], strict=True):
        group.append(spot)
        rest = text[spot.end : following.start if following else len(text)]
        if following is None or not _ONLY_BETWEEN.fullmatch(rest):
            yield group, rest
            group = []


def _before(draft: Draft, number: int, text: str) -> tuple[tuple[str, ...], str]:
    """What stands before the first code: a unit, which is opened, states, or words."""
    states: list[str] = []
    rest: list[str] = []
    has_colon = text.rstrip().endswith((":", "=", "-", "–", "|", ",", ";")) or "  " in text.strip()
    for cell in words.CELLS.split(text):
        cell = cell.strip()
        if not cell or words.NUMBERING.fullmatch(cell) or _CODE_LABEL.fullmatch(cell):
            continue
        if found := words.states_in(cell):
            states += found
        else:
            rest.append(cell)
    if rest and _is_unit(rest[0], text, has_colon=has_colon):
        unit = unit_before(" ".join(rest[:1]))
        # The address may stand in brackets behind the name, which the cells have taken apart.
        whole = unit_before(text) if unit else None
        if unit:
            address = unit.address or (whole.address if whole and whole.name == unit.name else "")
            if draft.current is None or draft.current.name.casefold() != unit.name.casefold():
                draft.open(unit.name, number, address)
            rest = [cell for cell in rest[1:] if cell.upper() not in (address, f"0X{address}")]
    return tuple(states), ", ".join(rest)


def _is_unit(cell: str, text: str, *, has_colon: bool) -> bool:
    if len(cell) > LONGEST_UNIT or words.NO_UNIT.match(cell) or words.label_of(cell):
        return False
    if words.UNIT_ALONE.fullmatch(cell):
        return True
    most = 6 if words.UNIT_WORD.search(cell) else 4
    return has_colon and len(cell.split()) <= most and cell[0].isalnum()


def _behind(text: str) -> tuple[tuple[str, ...], str]:
    """What stands behind a code: states, and the words of the report about it."""
    states: list[str] = []
    said: list[str] = []
    after_status = False
    for cell in words.CELLS.split(_TYPE_WORDS.sub(" ", text)):
        cell = (cell or "").strip(" .\t-–/&")
        if not cell:
            continue
        label = words.label_of(cell)
        found = words.status_in(cell) if after_status else words.states_in(cell)
        after_status = label == "state"
        if found:
            states += found
        elif not label and not words.NUMBERING.fullmatch(cell):
            said.append(cell)
    sentence = ", ".join(said)
    if not states:
        found, sentence = words.state_at_an_end(sentence)
        states += found
    return tuple(dict.fromkeys(states)), sentence


def _read_bytes(draft: Draft, number: int, text: str) -> bool:
    """Codes written as bytes alone, behind a label, or behind the name of a unit."""
    pieces = labelled_bytes(text)
    if pieces:
        return _read_labelled(draft, number, text, pieces)
    lead, colon, tail = text.rpartition(":")
    bare = (tail if colon else text).strip()
    code = code_in_bytes(bare)
    if code is None:
        return False
    if colon and (words.label_of(lead) or not _opens(draft, number, lead)):
        return False
    draft.add(code, number, bare, form="bytes")
    draft.doubt(number, text, f"Bytes on their own, read as the code {code}.")
    return True


def _read_labelled(draft: Draft, number: int, text: str, pieces: list[str]) -> bool:
    codes = [code_in_bytes(piece, is_labelled=True) for piece in pieces]
    if not any(codes):
        draft.leave(number, text, "These bytes are not two or three a code. Put a comma between codes.")
        return True
    for piece, code in zip(pieces, codes, strict=True):
        if code:
            draft.add(code, number, piece, form="bytes")
        elif piece.strip("0 x"):
            draft.leave(number, text, f"'{piece}' is not two or three bytes.")
    return True


def _opens(draft: Draft, number: int, lead: str) -> bool:
    unit = unit_before(lead) if words.UNIT_WORD.search(lead) else None
    if unit is None:
        return False
    draft.open(unit.name, number, unit.address)
    return True
