"""Part batches whose jobs came back more often than those of other batches of the same part."""

from __future__ import annotations

from dataclasses import dataclass

from diagnostics.audit.scope import Scope


@dataclass(frozen=True, slots=True)
class Batch:
    """One batch against the other batches of its part number; counts are jobs.

    ratio : None where no job of another batch came back, or there is none.
    signal : at least 3 failed, ratio at least 2, chi-square at least 4. Screening, not proof.
    """

    number: str
    batch: str
    part: str
    failed: int
    of: int
    others_failed: int
    others_of: int
    ratio: float | None
    chi_square: float | None
    signal: bool


@dataclass(frozen=True, slots=True)
class Batches:
    """The batches of which a job came back, signals first; how many were looked at in all."""

    rows: tuple[Batch, ...]
    looked_at: int

    @property
    def signals(self) -> tuple[Batch, ...]:
        """The batches that stand out."""
        return tuple(row for row in self.rows if row.signal)


def batches(scope: Scope) -> Batches:
    """Return the screen of the part batches fitted on the jobs of a scope whose window has run."""
    raise NotImplementedError
