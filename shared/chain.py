"""The chain as it is drawn: rings in order, and which of them still hold each other."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from shared.wording import and_list

STATES = {"joined": "joined", "explained": "explained", "open": "open", "ahead": "not reached"}


@dataclass(frozen=True, slots=True)
class Ring:
    """One link of the chain, ready to be drawn.

    name : what the link is called, "Measured".
    state : joined, explained, open or ahead.
    word : the state in words; the plain word of the state where none is given.
    findings : whatever belongs to the link (gaps to show).
    anchor : id of the link on the page.
    template : the template that draws what the link holds, or an empty text.
    first, last : ends of the chain.
    loose : the link above has let go of this one, or was never reached.
    """

    name: str
    state: str
    word: str = ""
    findings: tuple[Any, ...] = field(default=())
    anchor: str = ""
    template: str = ""
    first: bool = False
    last: bool = False
    loose: bool = False

    @property
    def state_word(self) -> str:
        """The plain word of the state: "joined", "not reached"."""
        return STATES[self.state]


def rings(links: Iterable[Any]) -> tuple[Ring, ...]:
    """Return links (objects or mappings with at least name and state) as rings that know their neighbours.

    Raises
    ------
    ValueError
        If a state is none of joined, explained, open, ahead.
    """
    given = list(links)
    placed: list[Ring] = []
    for index, link in enumerate(given):
        state = str(_of(link, "state"))
        if state not in STATES:
            raise ValueError(f"'{state}' is no state of a link. Use one of {', '.join(STATES)}.")
        name = str(_of(link, "name"))
        placed.append(
            Ring(
                name=name[:1].upper() + name[1:],
                state=state,
                word=str(_of(link, "word") or STATES[state]),
                findings=tuple(_of(link, "findings") or ()),
                anchor=str(_of(link, "anchor") or name.lower().replace(" ", "-")),
                template=str(_of(link, "template") or ""),
                first=index == 0,
                last=index == len(given) - 1,
                loose=index > 0 and placed[index - 1].state in ("open", "ahead"),
            )
        )
    return tuple(placed)


def said(links: Iterable[Any]) -> str:
    """Return the chain in one sentence: "Open at measured and at proved", "Every link is joined"."""
    placed = rings(links)
    if not placed:
        return "Nothing recorded yet"
    cut = [f"at {ring.name.lower()}" for ring in placed if ring.state == "open"]
    if cut:
        return f"Open {and_list(cut)}"
    lashed = [ring.name.lower() for ring in placed if ring.state == "explained"]
    tail = f", {and_list(lashed)} explained" if lashed else ""
    if all(ring.state != "ahead" for ring in placed):
        return f"Every link holds{tail}" if lashed else "Every link is joined"
    reached = [ring.name.lower() for ring in placed if ring.state != "ahead"]
    return f"Joined as far as {reached[-1]}{tail}" if reached else "Nothing recorded yet"


def _of(link: Any, name: str) -> Any:
    if isinstance(link, Mapping):
        return link.get(name)
    return getattr(link, name, None)
