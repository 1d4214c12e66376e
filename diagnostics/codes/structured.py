"""Reports exported as JSON or as tags: a tree of names and values, read by what the names and values say.

Both are taken as text: nothing is looked up, no entity is expanded, and what is cut off is read as far as it
goes.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from diagnostics.codes import words
from diagnostics.codes.draft import Draft
from diagnostics.codes.found import Odometer, Remark
from diagnostics.codes.spotting import code_in_bytes, written_codes
from diagnostics.codes.structure import Code
from diagnostics.codes.trees import Node, apart, bare, tree_of_json, tree_of_tags

_JSON = re.compile(r"\s*[\[{]\s*[\"\[{\]}]")
_TAGS = re.compile(r"\s*<(?:\?xml|!--|[a-z_][\w.\-]*[\s/>])", re.I)

_CODE_KEYS = {
    "code",
    "dtc",
    "dtccode",
    "faultcode",
    "troublecode",
    "errorcode",
    "fault",
    "pcode",
    "codes",
    "dtcs",
    "faults",
}
_BYTE_KEYS = {"raw", "hex", "bytes", "dtcbytes", "rawcode", "hexcode", "dtchex", "value"}
_STATE_KEYS = {
    "status",
    "state",
    "dtcstatus",
    "faultstatus",
    "codestatus",
    "statusbyte",
    "kind",
    "type",
    "group",
}
_TEXT_KEYS = {
    "description",
    "text",
    "meaning",
    "faulttext",
    "desc",
    "title",
    "name",
    "definition",
    "detail",
    "message",
}
_TYPE_KEYS = {"ftb", "failuretype", "failuretypebyte", "faulttype", "subtype", "symptombyte"}
_UNIT_KEYS = {
    "module", "ecu", "system", "unit", "controlunit", "controlmodule", "controller", "modulename", "ecuname",
    "systemname", "unitname", "node",
}  # fmt: skip
_NAME_KEYS = {"name", "title", "label", "description", *_UNIT_KEYS}
_ADDRESS_KEYS = {"address", "addr", "canid", "id", "requestid", "responseid", "ecuaddress"}
_ANSWER_KEYS = {
    "response", "answer", "answered", "responded", "responding", "communication", "online", "reachable",
    "result", "status", "state",
}  # fmt: skip
_PLURAL = re.compile(r"(?:modules|ecus|systems|units|controlunits|controllers|nodes)$")
_DATE_KEYS = {
    "date",
    "time",
    "datetime",
    "timestamp",
    "scannedat",
    "scandate",
    "created",
    "createdat",
    "done",
}
_DISTANCE_KEYS = {"odometer", "mileage", "odo", "distance", "odometerkm", "odometermi", "km", "miles"}
_NOTHING = {"", "false", "no", "0", "none", "null"}


@dataclass(frozen=True, slots=True)
class Unit:
    """The control unit that a node is or stands in."""

    name: str = ""
    line: int = 1
    address: str = ""


def read_structure(text: str) -> Draft | None:
    """Read a report that is JSON or tags; None where it is neither or holds nothing that is known."""
    if _JSON.match(text) and ":" in text:
        root = tree_of_json(text)
    elif _TAGS.match(text):
        root = tree_of_tags(text)
    else:
        return None
    draft = Draft()
    _walk(draft, root)
    return draft if draft.modules or draft.says_no_codes else None


def _walk(draft: Draft, root: Node) -> None:
    """Go through the tree without recursion, since a hostile one is deep. A stack keeps unit and states."""
    stack: list[tuple[Node, Unit, tuple[str, ...]]] = [(root, Unit(), ())]
    while stack:
        node, unit, states = stack.pop()
        states = words.states_in(apart(node.key)) or states
        used: set[int] = set()
        code = _code_of(node)
        own = None if code and not _is_unit_node(node) else _unit_of(node, used)
        unit = own or unit
        _silence(draft, node, unit, used, is_own=own is not None)
        if code is not None:
            _add(draft, node, code, unit, states, used)
        _loose_codes(draft, node, unit, states, used)
        _facts(draft, node, used)
        stack += [(inner, unit, states) for inner in reversed(node.inside)]


def _code_of(node: Node) -> tuple[Code, str, str] | None:
    """The code that a node describes: written anywhere under a code's name, or as bytes."""
    if node.is_list:
        return None
    for key, value, _ in node.values:
        spots = written_codes(value) if key in _CODE_KEYS or key in ("id", "name", "value") else []
        if len(spots) == 1 and len(value) <= 120:
            return spots[0].code, spots[0].typed, "text"
    for key, value, _ in node.values:
        if key in _CODE_KEYS | _BYTE_KEYS and (code := code_in_bytes(value, is_labelled=True)):
            return code, value, "bytes"
    return None


def _add(
    draft: Draft,
    node: Node,
    found: tuple[Code, str, str],
    unit: Unit,
    states: tuple[str, ...],
    used: set[int],
) -> None:
    code, typed, form = found
    kind = node.value(_TYPE_KEYS).upper().removeprefix("0X")
    if not code.failure_type and re.fullmatch(r"[0-9A-F]{2}", kind):
        code = Code(code.base, kind)
    name = "" if _is_unit_node(node) else node.value(_UNIT_KEYS)
    _open(draft, Unit(name, node.line, node.value(_ADDRESS_KEYS - {"id"})) if name else unit)
    own = tuple(
        state for key, value, _ in node.values if key in _STATE_KEYS for state in words.status_in(value)
    )
    flags = tuple(
        state
        for key, value, _ in node.values
        if value.lower() in ("true", "yes", "1")
        for state in words.states_in(apart(key))
    )
    text = next(
        (value for key, value, _ in node.values if _tells(node, key) and value not in (typed, unit.name)), ""
    )
    line = next((line for _, value, line in node.values if typed in value), node.line)
    draft.add(
        code,
        line,
        typed,
        form=form,
        states=tuple(dict.fromkeys([*(own or flags or states)])),
        text="" if text == typed else text,
    )
    known = _CODE_KEYS | _BYTE_KEYS | _STATE_KEYS | _TYPE_KEYS | _UNIT_KEYS | _ADDRESS_KEYS
    for place, (key, _, _) in enumerate(node.values):
        if key in known or _tells(node, key) or (flags and words.states_in(apart(key))):
            used.add(place)


def _tells(node: Node, key: str) -> bool:
    """Whether a value is the report's own text about the code: named so, or the words inside its tag."""
    return key in _TEXT_KEYS or (key == bare(node.key) and not node.is_list)


def _is_unit_node(node: Node) -> bool:
    return bare(node.key) in _UNIT_KEYS


def _unit_of(node: Node, used: set[int]) -> Unit | None:
    """The control unit that a node is: named inside it, or by its own name."""
    place, name = next(
        ((place, value) for place, (key, value, _) in enumerate(node.values) if key in _UNIT_KEYS and value),
        (-1, ""),
    )
    if not name and (bare(node.key) in _UNIT_KEYS or _PLURAL.search(bare(node.key)) or _holds_codes(node)):
        place, name = next(
            (
                (place, value)
                for place, (key, value, _) in enumerate(node.values)
                if key in _NAME_KEYS and value
            ),
            (-1, ""),
        )
    if not name and _is_unit_name(node):
        name = apart(node.key)
    address = node.value(_ADDRESS_KEYS) if name or bare(node.key) in _UNIT_KEYS else ""
    if not name and not address:
        return None
    used.update(
        n for n, (key, value, _) in enumerate(node.values) if n == place or (value == address and address)
    )
    return Unit(name, node.line, address)


def _holds_codes(node: Node) -> bool:
    return any(bare(inner.key) in _CODE_KEYS for inner in node.inside)


def _is_unit_name(node: Node) -> bool:
    """A name such as "Engine" in front of a list of codes is that of a unit."""
    key = bare(node.key)
    if (
        not key
        or key in _CODE_KEYS | _UNIT_KEYS
        or _PLURAL.search(key)
        or words.NO_UNIT.match(apart(node.key))
    ):
        return False
    if words.states_in(apart(node.key)) or words.label_of(apart(node.key)):
        return False
    has_codes = any(written_codes(value) for _, value, _ in node.values)
    is_unit = words.UNIT_WORD.search(apart(node.key)) is not None
    return has_codes or (is_unit and (node.is_list or _holds_codes(node)))


def _silence(draft: Draft, node: Node, unit: Unit, used: set[int], *, is_own: bool) -> None:
    """A unit that did not answer, or has an empty list of codes."""
    if node.is_list:
        if not (node.values or node.inside) and (is_own or bare(node.key) in _CODE_KEYS):
            _open(draft, unit)
            draft.see_no_codes()
        return
    if not is_own:
        return
    _open(draft, unit)
    for place, (key, value, _) in enumerate(node.values):
        if key in _ANSWER_KEYS and (value.lower() in _NOTHING or words.NO_RESPONSE.search(value)):
            if draft.current is not None:
                draft.current.answered = False
            used.add(place)
        elif words.NO_CODES.search(value) or (key in _CODE_KEYS and value.lower() in _NOTHING):
            draft.see_no_codes()
            used.add(place)


def _loose_codes(draft: Draft, node: Node, unit: Unit, states: tuple[str, ...], used: set[int]) -> None:
    """Codes in a plain list, or in a value that is no object's own code."""
    for place, (key, value, line) in enumerate(node.values):
        if place in used or len(value) > 2000:
            continue
        for spot in written_codes(value):
            _open(draft, unit)
            rest = value[spot.end :].strip(" -–:,") if len(written_codes(value)) == 1 else ""
            own = words.states_in(apart(key)) or states
            told, rest = words.state_at_an_end(rest) if rest else ((), "")
            draft.add(spot.code, line, spot.typed, states=told or words.states_in(rest) or own, text=rest)
            used.add(place)


def _facts(draft: Draft, node: Node, used: set[int]) -> None:
    """VIN, odometer, date and monitors; any other value is listed as not understood."""
    for place, (key, value, line) in enumerate(node.values):
        if place in used or not value:
            continue
        monitor = words.monitor_in(f"{apart(key)}: {value}")
        if key == "vin" and re.fullmatch(r"[A-Za-z0-9]{17}", value):
            draft.vin = draft.vin or value.upper()
        elif key in _DISTANCE_KEYS and (match := re.match(r"(\d{1,7})(?:\.\d+)?\s*(km|mi)?", value)):
            unit = match.group(2) or (
                "km" if key.endswith("km") else "mi" if key.endswith(("mi", "miles")) else ""
            )
            draft.odometer = draft.odometer or Odometer(match.group(1), unit, line)
        elif key in _DATE_KEYS and re.search(r"\d{2}", value) and len(value) <= 60:
            draft.dates.append(Remark(line, value))
        elif monitor:
            draft.see_monitor(monitor[0], monitor[1], line)  # type: ignore[arg-type]
        else:
            draft.leave(line, f"{key}: {value}" if key else value)


def _open(draft: Draft, unit: Unit) -> None:
    draft.open(unit.name, unit.line, unit.address if len(unit.address) <= 20 else "")
