"""Why a repair did not hold: the codes and escape points of a review (practice.md section 10).

There is no code for a person, and none may be added. Causes are kept apart from how a part failed,
as ISO 14224:2016 keeps cause, mode and mechanism apart.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

MOST_CONTRIBUTING = 2


@dataclass(frozen=True, slots=True)
class Code:
    """One cause of a comeback. `text` is said on pages, after the code itself."""

    code: str
    text: str

    @property
    def group(self) -> str:
        """The letter of its group."""
        return self.code[0]

    @property
    def label(self) -> str:
        """The code with its words: "D1, required test skipped"."""
        return f"{self.code}, {self.text}"


GROUPS: Mapping[str, str] = {
    "D": "diagnosis",
    "W": "workmanship",
    "P": "part",
    "V": "verification",
    "I": "information",
    "S": "shop system",
    "C": "customer's choice",
    "F": "fresh fault",
    "U": "undetermined",
}

CODES: Mapping[str, Code] = {
    code: Code(code, text)
    for code, text in {
        "D1": "a required test was skipped",
        "D2": "a test was done under the wrong conditions or at the wrong point",
        "D3": "a reading was misjudged",
        "D4": "stopped early, a second fault or a rival was not excluded",
        "D5": "an assumption was wrong",
        "D6": "a coincidence was taken for the cause",
        "D7": "the complaint was never seen",
        "W1": "fitting",
        "W2": "a neighbour was disturbed",
        "W3": "a step of the work was left out",
        "W4": "setting, bleeding, teaching-in or calibration was left out",
        "W5": "the wrong part was fitted",
        "P1": "the part was faulty when new",
        "P2": "the part failed early",
        "P3": "the wrong specification was supplied",
        "P4": "a batch of parts",
        "V1": "a failing reading was not taken again",
        "V2": "the trial was not under the complaint's conditions",
        "V3": "too few trials",
        "V4": "only tried with equipment connected",
        "I1": "the complaint was lost or reworded at the desk",
        "I2": "hand-off between two people",
        "I3": "published data was wrong or missing",
        "I4": "the customer was not told what to expect",
        "S1": "no protocol for this complaint",
        "S2": "time or authorisation was too short",
        "S3": "equipment was missing or out of calibration",
        "S4": "nobody was free for the check",
        "C1": "a partial repair was chosen",
        "C2": "use outside what was agreed",
        "F1": "a new fault, with evidence that it was absent before",
        "F2": "a known weakness of this kind of vehicle",
        "U1": "not enough evidence: itself a finding about our records",
    }.items()
}

ESCAPE_POINTS: Mapping[str, str] = {
    "intake": "intake",
    "verification": "verification of the complaint",
    "test choice": "choice of tests",
    "reading": "reading",
    "isolation": "isolation of the cause",
    "fitting": "fitting",
    "re-read": "re-read after the repair",
    "trial": "trial",
    "independent check": "independent check",
    "hand-over": "hand-over",
}


def codes_by_group() -> Iterator[tuple[str, str, tuple[Code, ...]]]:
    """Yield each group as its letter, its name and its codes, in the order of the practice text."""
    for letter, name in GROUPS.items():
        yield letter, name, tuple(code for code in CODES.values() if code.group == letter)


def label_of(code: str) -> str:
    """Return a code with its words; one that is not in the table stays as it is."""
    return CODES[code].label if code in CODES else code
