"""What is wrong with a document, named place by place."""

from __future__ import annotations

from typing import NamedTuple


class Fault(NamedTuple):
    """One fault: where in the document, and what to do about it."""

    where: str
    message: str


class ProblemError(ValueError):
    """A document that is no problem; `faults` names every fault found."""

    def __init__(self, faults: tuple[Fault, ...]) -> None:
        self.faults = faults
        super().__init__("; ".join(f"{fault.where}: {fault.message}" for fault in faults))
