"""Fisher's exact test of a two-by-two table.

References
----------
.. [1] R. A. Fisher, The Design of Experiments, 1935, chapter 2. From memory.
.. [2] C. Loader 2000, the hypergeometric term as a quotient of binomial ones. From memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from diagnostics.statistics.terms import binomial_term

Alternative = Literal["two-sided", "greater", "less"]
Table = tuple[tuple[int, int], tuple[int, int]]

TIE = 1e-7  # Two tables of equal chance may differ by rounding; the same slack as in R's fisher.test.
_NEGLIGIBLE = 1e-18


def fisher(table: Table, alternative: Alternative = "two-sided") -> float:
    """Return the p-value of Fisher's exact test of a two-by-two table. [1]

    Parameters
    ----------
    table : two rows of two counts
        Each 0 or more, up to some millions.
    alternative : str
        `greater`: as many or more in the first cell, given all margins; `less`: as many or fewer;
        `two-sided`: all tables that are no more probable than this one.

    Returns
    -------
    float
        0 to 1; 1 where a margin is empty.
    """
    (a, b), (c, d) = table
    margins = _Margins(a + b, c + d, a + c)
    if alternative == "greater":
        return margins.at_least(a)
    return margins.at_most(a) if alternative == "less" else margins.no_more_probable_than(a)


@dataclass(frozen=True, slots=True)
class _Margins:
    """Two rows and the first column; the count in the first cell is what varies."""

    first: int
    second: int
    column: int

    @property
    def lowest(self) -> int:
        return max(0, self.column - self.second)

    @property
    def highest(self) -> int:
        return min(self.first, self.column)

    @property
    def mode(self) -> int:
        return (self.first + 1) * (self.column + 1) // (self.first + self.second + 2)

    def chance(self, x: int) -> float:
        """The chance of `x` in the first cell. [2]"""
        total, other = self.first + self.second, self.first + self.second - self.column
        if not self.column or not other:
            return 1.0
        p, q = self.column / total, other / total
        upper = binomial_term(x, self.first - x, p, q)
        lower = binomial_term(self.column - x, self.second - self.column + x, p, q)
        return upper * lower / binomial_term(self.column, other, p, q)

    def at_least(self, x: int) -> float:
        return self._outwards(x, 1) if x > self.mode else max(0.0, 1 - self._outwards(x - 1, -1))

    def at_most(self, x: int) -> float:
        return self._outwards(x, -1) if x < self.mode else max(0.0, 1 - self._outwards(x + 1, 1))

    def no_more_probable_than(self, x: int) -> float:
        most = self.chance(x) * (1 + TIE)
        if self.chance(self.mode) <= most:
            return 1.0
        step = -1 if x < self.mode else 1
        return min(1.0, self._outwards(x, step) + self._outwards(self._across(most, -step), -step))

    def _outwards(self, x: int, step: int) -> float:
        """The chances from `x` away from the mode, each from the one before."""
        if not self.lowest <= x <= self.highest:
            return 0.0
        total = term = self.chance(x)
        while term > total * _NEGLIGIBLE and self.lowest <= x + step <= self.highest:
            x += step
            term *= self._rise(x) if step > 0 else 1 / self._rise(x + 1)
            total += term
        return total

    def _rise(self, x: int) -> float:
        """The chance of `x` over that of one fewer."""
        return (self.first - x + 1) * (self.column - x + 1) / (x * (self.second - self.column + x))

    def _across(self, most: float, step: int) -> int:
        """The first count beyond the mode, on that side, whose chance is at most this."""
        inside, outside = self.mode, (self.highest + 1 if step > 0 else self.lowest - 1)
        while abs(outside - inside) > 1:
            middle = (inside + outside) // 2
            inside, outside = (inside, middle) if self.chance(middle) <= most else (middle, outside)
        return outside
