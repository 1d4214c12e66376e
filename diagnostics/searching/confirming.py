"""One reading of its own for the suspect that is left: nobody is guilty because everybody else is not."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from diagnostics.isolation.circuit import from_dict
from diagnostics.isolation.circuit.built import Listens
from diagnostics.isolation.circuit.confirming import confirming
from diagnostics.isolation.wording.terms import Terms
from diagnostics.judging import outcome as outcome_of
from diagnostics.judging import reading_key
from diagnostics.searching.hearing import Heard
from diagnostics.searching.thinking import Thought
from diagnostics.snapshot import Test

SHOWS = 0.5  # A reading that the suspect makes at least this likely,
ALONE = 0.1  # and every suspect of another repair at most this likely, shows that suspect by itself.
# Readings with the part off, apart or bypassed: after the repair they are not taken again.
TAKEN_APART = frozenset(
    {
        "branch_off",
        "branches_back",
        "bypass_try",
        "draw_branch_off",
        "hub_bar_out",
        "load_direct",
        "swap_try",
        "unit_unplugged",
        "wire_alone",
    }
)


@dataclass(frozen=True)
class Confirmation:
    """How one suspect is shown to be the fault.

    `shown_by` is the failing reading that shows it already, empty while there is none. With a `unit` the
    reading is a number between `lo` and `hi`; else one of two sentences, `shown` and `sound`.
    """

    candidate: str
    label: str
    component: str
    mode: str
    code: str
    point: str
    title: str
    how: str
    shown: str
    sound: str
    unit: str = ""
    lo: Decimal | None = None
    hi: Decimal | None = None
    shown_by: str = ""

    @property
    def can_be_repeated(self) -> bool:
        """Whether the same reading can be taken again after the repair (R17)."""
        return self.code not in TAKEN_APART


def confirmations_of(thought: Thought, candidate: str, tests: Iterable[Test]) -> list[Confirmation]:
    """Return what shows a suspect: one reading, or one for each of two faults at once.

    Empty for a suspect that stands for no component.
    """
    by_id = {each["id"]: each for each in thought.document["candidates"]}
    names = by_id[candidate].get("members") or [candidate]
    known = [name for name in names if thought.search.components.get(name, {}).get("component")]
    failing = [test for test in tests if test.phase == "before" and outcome_of(test) == "fail"]
    return [_confirmation(thought, by_id[name], failing) for name in known]


def _confirmation(thought: Thought, candidate: dict[str, Any], failing: list[Test]) -> Confirmation:
    name = candidate["id"]
    part = thought.search.components[name]
    asks = _asks(thought, candidate) or _own_words(part["component"], part.get("mode", ""))
    return Confirmation(
        candidate=name,
        label=thought.terms.candidate(name),
        component=part["component"],
        mode=part.get("mode", ""),
        code=asks.code,
        point=asks.point,
        title=asks.label,
        how=asks.how,
        shown=asks.observation["shown"],
        sound=asks.observation["sound"],
        unit=asks.unit,
        lo=None if asks.lo is None else Decimal(str(asks.lo)),
        hi=None if asks.hi is None else Decimal(str(asks.hi)),
        shown_by=_shown_by(thought, name, part["component"], (asks.code, asks.point), failing),
    )


def _asks(thought: Thought, candidate: dict[str, Any]) -> Listens | None:
    """The reading that the map knows; None where the document has no map to go by."""
    part = thought.document.get("circuit")
    if not part:
        return None
    try:
        return confirming(from_dict(part, thought.document.get("zones", ())), candidate)
    except (KeyError, IndexError):  # A document from elsewhere whose map is not whole.
        return None


def _own_words(component: str, mode: str) -> Listens:
    fault = f"{component}: {mode}" if mode else component
    return Listens(
        code="part_seen",
        point=component[:64],
        observation={
            "shown": f"{fault}, seen at the part itself.",
            "sound": f"{component}: nothing wrong at the part itself.",
        },
        label=f"See the fault at the {component} itself",
        how="Measure or look at the part by itself, in a way that would show a good one to be good.",
    )


def _shown_by(thought: Thought, name: str, component: str, key: tuple[str, str], failing: list[Test]) -> str:
    heard = {one.run: one for one in thought.counted}
    for test in failing:
        if test.complaint != thought.search.complaint_ref or test.isolates.strip() != component.strip():
            continue
        if reading_key(test) == key or (
            test.id in heard and shows_alone(thought.terms, heard[test.id], name)
        ):
            return test.id
    return ""


def shows_alone(terms: Terms, one: Heard, name: str) -> bool:
    """Return whether a reading shows a suspect by itself: no suspect of another repair would read so."""
    test, mine = terms.tests[one.test], terms.candidates[name]
    place = test.position[one.outcome]
    others = [
        test.likelihood(each)[place]
        for each in terms.candidates.values()
        if each.group != mine.group and each.kind not in ("catch_all", "compound")
    ]
    return test.likelihood(mine)[place] >= SHOWS and max(others, default=0.0) <= ALONE
