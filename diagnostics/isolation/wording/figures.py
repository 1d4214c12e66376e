"""How minutes, chances and counts of suspects are said: whole numbers, never more than two digits of them.

"44 in 100" and not "43.7 %": nobody at a vehicle knows a chance better than that (fault-isolation.md section
10).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from shared.wording import and_list

KEPT_SHARE = 0.02  # Below this, and below a tenth of the leader, nobody suspects it any more. Section 10.
KEPT_OF_LEADER = 0.1
TIE_SHARE = (
    0.03  # Two routes this near, or this many minutes, are the same for practical purposes. Section 10.
)
TIE_MINUTES = 2.0
SAME = "the same for practical purposes"

_TENS = ("none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
LONG_MINUTES = 120  # From here on minutes are said in hours.


def minutes(value: float) -> str:
    """Return minutes as a technician says them: "under 1 min", "11 min", "2 h 10 min"."""
    if not math.isfinite(value):
        return "no end in sight"
    if value < 0.75:
        return "half a minute" if value >= 0.25 else "no time"
    if value < LONG_MINUTES:
        return f"{half_up(value)} min"
    hours, spare = divmod(5 * half_up(value / 5), 60)
    return f"{hours} h {spare} min" if spare else f"{hours} h"


def half_up(value: float) -> int:
    """Return the nearest whole number; a half goes up, as people round."""
    return math.floor(value + 0.5)


def in_100(share: float) -> str:
    """Return a chance as "44 in 100"; nothing possible is rounded away to 0 or 100."""
    return f"{times_in_100(share)} in 100"


def times_in_100(share: float) -> str:
    """Return the "44" of "44 in 100"."""
    if 0 < share < 0.005:
        return "under 1"
    if 0.995 <= share < 1:
        return "over 99"
    return str(half_up(share * 100))


def percent(share: float) -> str:
    """Return a chance as the customer reads it, "61 %"; nothing possible is rounded away to 0 or 100."""
    return f"{times_in_100(share)} %"


def times_in_ten(share: float) -> str:
    """Return a share as "nine times in ten", "nearly every time", "hardly ever"."""
    if share >= 0.95:
        return "nearly every time"
    if share < 0.05:
        return "hardly ever"
    times = half_up(share * 10)
    return "once in ten times" if times == 1 else f"{_TENS[times]} times in ten"


def suspects(count: int) -> str:
    """Return "1 suspect", "7 suspects"."""
    return f"{count} suspect" if count == 1 else f"{count} suspects"


def still_suspected(posterior: Mapping[str, float]) -> tuple[str, ...]:
    """Return the candidates still worth a suspicion, likeliest first: 2 in 100, or a tenth of the leader."""
    leader = max(posterior.values(), default=0.0)
    least = min(KEPT_SHARE, leader * KEPT_OF_LEADER)
    kept = [name for name, share in posterior.items() if share > 0 and share >= least - 1e-9]
    return tuple(sorted(kept, key=lambda name: (-posterior[name], name)))


def is_tie(one: float, other: float) -> bool:
    """Whether two expected times differ by so little that comfort may decide."""
    gap = abs(one - other)
    return gap <= TIE_MINUTES or gap <= TIE_SHARE * max(one, other)


def more(gap: float) -> str:
    """Return a difference in expected minutes: "about 4 min more on average", "… less …"."""
    return f"about {minutes(abs(gap))} {'more' if gap > 0 else 'less'} on average"


def quoted(name: str) -> str:
    """Return a name in quotation marks, so that a colon or a comma in it does not break the sentence."""
    return f"“{name}”"


def listed(names: Sequence[str], most: int = 3) -> str:
    """Return quoted names: the first few, then how many more."""
    if len(names) > most + 1:
        return f"{', '.join(quoted(name) for name in names[:most])} and {len(names) - most} more"
    return and_list([quoted(name) for name in names])


def opening(text: str) -> str:
    """Return the text with a capital to begin a sentence."""
    return text[:1].upper() + text[1:]
