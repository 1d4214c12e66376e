"""The twenty-six rules by number: heading, when each runs, what its subject is."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Rule:
    """One evidence-gap rule of practice.md section 5.

    `is_live`: runs as soon as the record exists; the others run at hand-over and are pending before.
    `subject`: what kind of record the finding names. `ring`: the section of the page it is placed in.
    `link`: the link of the chain it can break, if any. `second_name`: "always", "critical" or "".
    """

    code: str
    title: str
    is_live: bool
    subject: str
    ring: str
    link: str = ""
    second_name: str = ""

    @property
    def number(self) -> int:
        """The rule's number, by which findings are sorted."""
        return int(self.code[1:])


_TABLE = (
    Rule("R1", "The complaint was not verified", False, "complaint", "seen", "attempt"),
    Rule("R2", "Never reproduced, and no trial plan", False, "complaint", "seen", "attempt"),
    Rule("R3", "An attempt without conditions", True, "complaint", "seen", "attempt"),
    Rule("R4", "A required test was skipped", False, "step", "measured", second_name="critical"),
    Rule("R5", "Claimed, not measured", True, "test", "measured"),
    Rule("R6", "A reading cannot be judged", True, "test", "measured"),
    Rule("R7", "A reading does not name its instrument", True, "test", "measured"),
    Rule("R8", "The instrument was out of calibration", True, "test", "measured"),
    Rule("R9", "An out-of-limits reading was not followed up", False, "test", "measured", "failing reading"),
    Rule("R10", "A reading was entered late", True, "test", "measured"),
    Rule("R11", "A part was replaced without support", False, "work", "measured", "failing reading"),
    Rule("R12", "The cause was not isolated", False, "work", "cause", "cause"),
    Rule("R13", "A rival suspect was left open", False, "component", "cause", "cause"),
    Rule("R14", "An assumption was left open", False, "assumption", "cause"),
    Rule("R15", "A coincidence was not reversed", False, "claim", "cause", "cause"),
    Rule("R16", "A marginal reading decides", False, "work or test", "proved", "re-read"),
    Rule("R17", "The failing reading was not taken again", False, "test", "proved", "re-read"),
    Rule("R18", "Closed on a failing reading", False, "test", "proved", "re-read", "always"),
    Rule("R19", "The complaint is not proved gone", False, "complaint", "proved", "trials"),
    Rule("R20", "The complaint recurred in the trials", False, "complaint", "proved", "trials", "always"),
    Rule("R21", "Test equipment was always connected", False, "complaint", "seen", "attempt"),
    Rule("R22", "The independent check is missing", False, "work", "repair", "work", "always"),
    Rule("R23", "A declined risk has no follow-up", False, "declined item", "repair"),
    Rule("R24", "Diagnosis time is over the authorised time", True, "order", "repair"),
    Rule("R25", "A hand-off is missing or incomplete", True, "complaint", "measured"),
    Rule("R26", "The part was replaced again without failure analysis", False, "work", "repair"),
)

RULES: dict[str, Rule] = {rule.code: rule for rule in _TABLE}
LINKS = ("attempt", "failing reading", "cause", "work", "re-read", "trials")
