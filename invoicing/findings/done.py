"""What was done, with the condition of each part; and what the customer chose not to have done."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from diagnostics.evidence.terms import Terms
from diagnostics.judging import is_blank
from diagnostics.snapshot import Declined, Instrument, Part, Work
from invoicing import wording
from invoicing.findings.names import Names
from invoicing.findings.readings import said
from invoicing.findings.sheet import Done, Refused

_VERBS = {
    "replace": "replaced",
    "repair": "repaired",
    "clean": "cleaned",
    "adjust": "adjusted",
    "reset": "reset",
}
_WHY = {
    "maintenance": ", as maintenance",
    "access": ", to reach what lies behind it",
    "consequential": ", because the fault had affected it",
    "customer_request": ", as you asked",
}
_RISK_WORDS = {"safety": "affects safety", "progressive": "gets worse", "comfort": "affects comfort only"}
MOST_NAMED = 3  # In the box of three lines; the list further down has them all.


def done(work: Work) -> Done:
    """Return one work item in words. Notes of the workshop stay in the workshop."""
    text = f"We {_VERBS[work.kind]} the {wording.part_words(work.component)}{_WHY.get(work.reason, '')}."
    return Done(text, part_text(work.part) if work.part else "")


def part_text(part: Part) -> str:
    """Return a part with its condition: "Battery 12 V 60 Ah, new, quantity 1"."""
    condition = part.condition or "condition not recorded"
    number = f"number {part.number.strip()}" if not is_blank(part.number) else ""
    quantity = f"quantity {part.quantity.strip()}" if not is_blank(part.quantity) else ""
    name = part.description.strip() or "part"
    return ", ".join(one for one in (name, condition, number, quantity) if one)


def did(work: Sequence[Work], declined: Sequence[Declined]) -> str:
    """Return in one sentence what was done, the repair ahead of maintenance."""
    chosen = [w for w in work if w.reason in ("cause", "consequential")] or list(work)
    if not chosen:
        return "Nothing yet: you chose not to have it done." if declined else "We changed nothing."
    phrases: list[str] = []
    last_verb = ""
    for one in chosen[:MOST_NAMED]:
        verb = _VERBS[one.kind]
        phrases.append(f"{'' if verb == last_verb else verb + ' '}the {wording.part_words(one.component)}")
        last_verb = verb
    more = len(chosen) - MOST_NAMED
    if more > 0:
        phrases.append(f"{more} more {'thing' if more == 1 else 'things'}, listed below")
    return f"We {wording.listed(phrases)}."


def warning(item: Declined, terms: Terms, names: Names, instruments: Mapping[str, Instrument]) -> str:
    """Return the advice against driving for safety work that was declined (W-8)."""
    reading = terms.test_by_id.get(item.test)
    part = wording.part_words(item.component)
    because = f"the {part} affects safety."
    if reading is not None:
        because = f"the {part} affects safety ({said(reading.test, names, instruments)})."
    return wording.W_8.format(because=because)


def refused(item: Declined, terms: Terms, names: Names, instruments: Mapping[str, Instrument]) -> Refused:
    """Return work that was declined: how it stands, what was said, when to look again."""
    sentences = []
    reading = terms.test_by_id.get(item.test)
    if reading is not None and item.risk != "safety":  # A safety item's reading stands in the warning on top.
        sentences.append(wording.sentence(said(reading.test, names, instruments)))
    if item.informed_on is not None:
        sentences.append(f"We told you on {wording.day(item.informed_on)}.")
    if item.follow_up_on is not None:
        sentences.append(f"Let us look again by {wording.day(item.follow_up_on)}.")
    elif item.risk != "comfort":
        sentences.append("No date to look again is set. Please call us for one.")
    return Refused(wording.code_words(item.component), _RISK_WORDS[item.risk], tuple(sentences))
