from diagnostics.models.capture import Capture
from diagnostics.models.cause import Assumption, Cause, Claim, Event, Reversal, Suspect
from diagnostics.models.circuit import CircuitMap, MapPhoto, MapPlace, MapTest, MapWire, MapZone
from diagnostics.models.instrument import Calibration, Instrument, InstrumentRange
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
from diagnostics.models.scan import CodeMeaning, Scan, ScanCode, ScanModule
from diagnostics.models.search import FaultSearch, SearchTiming
from diagnostics.models.test import TestRun

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
    "HandOff",
    "IndependentCheck",
    "Instrument",
    "InstrumentRange",
    "MapPhoto",
    "MapPlace",
    "MapTest",
    "MapWire",
    "MapZone",
    "Protocol",
    "ProtocolStep",
    "RequiredStep",
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
]
