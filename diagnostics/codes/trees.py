"""The tree of names and values in JSON or in tags, read as text as far as it goes."""

from __future__ import annotations

import html
import re
from bisect import bisect_right
from collections.abc import Callable
from dataclasses import dataclass, field

from diagnostics.codes.decoding import Unreadable

DEEPEST = 60
MOST_TOKENS = 400_000  # A report of every unit of a large vehicle has some thousands.
TOO_MANY = "This export has too many parts to be a scan report. Leave the recorded live data out."

# A text that ends inside a string ends the string too; else each quote would search to the end again.
_JSON_TOKEN = re.compile(r'"((?:[^"\\]++|\\.)*+)(?:"|\\?\Z)|([{}\[\]:,])|([^\s{}\[\]:,"]++)', re.S)
_TAG_TOKEN = re.compile(r"<(/?)([\w.:\-]++)([^<>]*+)>|<[^<>]*+>|([^<>]++)", re.I)
_ATTRIBUTE = re.compile(r"([\w.:\-]{1,60})\s*=\s*(?:\"([^\"]*)\"|'([^']*)')")
_ESCAPE = re.compile(r"\\(u[0-9a-fA-F]{4}|.)", re.S)


@dataclass(slots=True)
class Node:
    """An object, a list or a tag: its name, its values with their lines, and what is inside it."""

    key: str
    line: int
    values: list[tuple[str, str, int]] = field(default_factory=list)
    inside: list[Node] = field(default_factory=list)
    is_list: bool = False

    def value(self, keys: set[str]) -> str:
        return next((value for key, value, _ in self.values if key in keys and value), "")


def tree_of_json(text: str) -> Node:
    """Return the tree of a JSON text; one that is cut off ends where it ends."""
    root = Node("", 1)
    stack, key, held, line_at = [root], "", None, _lines(text)
    for count, match in enumerate(_JSON_TOKEN.finditer(text)):
        if count > MOST_TOKENS:
            raise Unreadable(TOO_MANY)
        string, sign, atom = match.groups()
        line = line_at(match.start())
        if string is not None or atom is not None:
            value = _unescaped(string) if string is not None else ("" if atom == "null" else atom)
            if held is not None:
                _put(stack[-1], key, *held)
            held = (value, line)
        elif sign == ":" and held is not None:
            key, held = held[0], None
        else:
            if held is not None:
                _put(stack[-1], key, *held)
                held, key = None, ("" if not stack[-1].is_list else key)
            key = _bracket(stack, sign or "", key, line)
    if held is not None:
        _put(stack[-1], key, *held)
    return root


def _bracket(stack: list[Node], sign: str, key: str, line: int) -> str:
    """Open or close a node, and return the name that the next value has."""
    top = stack[-1]
    if sign in "{[" and sign:
        node = Node(key or (top.key if top.is_list else ""), line, is_list=sign == "[")
        top.inside.append(node)
        if len(stack) < DEEPEST:
            stack.append(node)
    elif sign in "}]" and sign and len(stack) > 1:
        stack.pop()
    return ""


def _put(node: Node, key: str, value: str, line: int) -> None:
    node.values.append((bare(key) if not node.is_list else bare(node.key), value.strip(), line))


def _unescaped(text: str) -> str:
    plain = {"n": "\n", "t": "\t", "r": "\n", "b": " ", "f": " "}

    def one(match: re.Match[str]) -> str:
        escape = match.group(1)
        if escape[0] == "u" and len(escape) == 5:
            character = chr(int(escape[1:], 16))
            return character if character.isprintable() else " "
        return plain.get(escape, escape)

    return _ESCAPE.sub(one, text)


def tree_of_tags(text: str) -> Node:
    """Return the tree of tags; no entity but the characters of HTML is expanded, and nothing is looked up."""
    root = Node("", 1)
    stack, line_at = [root], _lines(text)
    for count, match in enumerate(_TAG_TOKEN.finditer(text)):
        if count > MOST_TOKENS:
            raise Unreadable(TOO_MANY)
        slash, name, rest, words_between = match.groups()
        if words_between is not None:
            value = html.unescape(words_between).strip()
            if value:
                stack[-1].values.append((bare(stack[-1].key), value, line_at(match.start())))
        elif name and slash:
            _close(stack, name)
        elif name:
            _begin(stack, name, rest, line_at(match.start()))
    _fold(root)
    return root


def _begin(stack: list[Node], name: str, rest: str, line: int) -> None:
    node = Node(name.rpartition(":")[2], line)
    node.values = [(bare(key), html.unescape(a or b).strip(), line) for key, a, b in _ATTRIBUTE.findall(rest)]
    stack[-1].inside.append(node)
    if not rest.rstrip().endswith("/") and len(stack) < DEEPEST:
        stack.append(node)


def _close(stack: list[Node], name: str) -> None:
    """Close the nearest open tag of that name; one that is not open is passed over."""
    name = name.rpartition(":")[2]
    open_names = [node.key for node in stack[1:]]
    if name in open_names:
        while stack[-1].key != name:
            stack.pop()
        stack.pop()


def _fold(root: Node) -> None:
    """A tag with nothing but words in it is a value of the tag around it."""
    stack = [root]
    while stack:
        node = stack.pop()
        kept = []
        for inner in node.inside:
            if not inner.inside and len(inner.values) == 1 and inner.values[0][0] == bare(inner.key):
                node.values.append(inner.values[0])
            else:
                kept.append(inner)
        node.inside = kept
        stack += kept


def _lines(text: str) -> Callable[[int], int]:
    starts = [0, *(match.end() for match in re.finditer(r"\n", text))]
    return lambda place: bisect_right(starts, place)


def apart(key: str) -> str:
    """ "pendingCodes" and "pending_codes" as words."""
    return re.sub(r"(?<=[a-z])(?=[A-Z])|[_\-.]+", " ", key).strip()


def bare(key: str) -> str:
    """Return a name in small letters and digits alone."""
    return re.sub(r"[^a-z0-9]", "", key.lower())
