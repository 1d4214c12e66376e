"""The findings sheet as data: what the customer reads, in the order they ask. Pure: values in, values out."""

from invoicing.findings.compose import Assessed, findings_sheet
from invoicing.findings.names import LimitOrigin, Names
from invoicing.findings.sheet import (
    FindingsSheet,
    Letterhead,
    Returned,
    Signal,
    SignalLane,
    as_data,
    prose,
)

__all__ = [
    "Assessed",
    "FindingsSheet",
    "Letterhead",
    "LimitOrigin",
    "Names",
    "Returned",
    "Signal",
    "SignalLane",
    "as_data",
    "findings_sheet",
    "prose",
]
