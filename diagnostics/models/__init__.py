from diagnostics.models.capture import Capture
from diagnostics.models.cause import Assumption, Cause, Claim, Event, Reversal, Suspect
from diagnostics.models.circuit import CircuitMap, MapPhoto, MapPlace, MapTest, MapWire, MapZone
from diagnostics.models.instrument import Calibration, Instrument, InstrumentRange
from diagnostics.models.learning import FollowUp, ProtocolAim
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
from diagnostics.models.reviewing import ReturnCost, ReturnReview
from diagnostics.models.scan import CodeMeaning, Scan, ScanCode, ScanModule
from diagnostics.models.search import FaultSearch, SearchTiming
from diagnostics.models.similar import JobText
from diagnostics.models.test import TestRun
from diagnostics.models.watched import KeptAudit, Recount, WatchedCheck, WatchedJob

__all__ = [
    "Assumption",
    "Attempt",
    "Calibration",
    "Capture",
    "Cause",
    "Caution",
    "CircuitMap",
    "Claim",
    "CodeMeaning",
    "CustomerTrial",
    "Event",
    "Explanation",
    "FaultSearch",
    "FollowUp",
    "HandOff",
    "IndependentCheck",
    "Instrument",
    "InstrumentRange",
    "JobText",
    "KeptAudit",
    "MapPhoto",
    "MapPlace",
    "MapTest",
    "MapWire",
    "MapZone",
    "Protocol",
    "ProtocolAim",
    "ProtocolStep",
    "Recount",
    "RequiredStep",
    "ReturnCost",
    "ReturnReview",
    "ReturnVisit",
    "Reversal",
    "Scan",
    "ScanCode",
    "ScanModule",
    "SearchTiming",
    "Suspect",
    "TestKind",
    "TestRun",
    "TrialSeries",
    "WatchedCheck",
    "WatchedJob",
]
