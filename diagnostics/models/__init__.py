from diagnostics.models.cause import Assumption, Cause, Claim, Event, Reversal, Suspect
from diagnostics.models.instrument import Instrument
from diagnostics.models.proof import (
    Attempt,
    CustomerTrial,
    Explanation,
    HandOff,
    IndependentCheck,
    TrialSeries,
)
from diagnostics.models.protocol import Caution, Protocol, ProtocolStep, RequiredStep, TestKind
from diagnostics.models.returns import ReturnVisit
from diagnostics.models.test import TestRun

__all__ = [
    "Assumption",
    "Attempt",
    "Cause",
    "Caution",
    "Claim",
    "CustomerTrial",
    "Event",
    "Explanation",
    "HandOff",
    "IndependentCheck",
    "Instrument",
    "Protocol",
    "ProtocolStep",
    "RequiredStep",
    "ReturnVisit",
    "Reversal",
    "Suspect",
    "TestKind",
    "TestRun",
    "TrialSeries",
]
