"""What a test is expected to tell, said in counts of suspects (fault-isolation.md section 10)."""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping, Sequence

from diagnostics.isolation.wording.figures import (
    half_up,
    in_100,
    listed,
    minutes,
    opening,
    quoted,
    still_suspected,
    suspects,
    times_in_100,
    times_in_ten,
)
from diagnostics.isolation.wording.readings import Reading, readings
from diagnostics.isolation.wording.terms import Terms

ALWAYS = 0.98  # A test that reads one way so often tells next to nothing.
MOSTLY = 0.8
LEAVES_MOST = 0.75  # Share of the suspects left at which a reading made nobody wiser.
CUTS_WELL = 2 / 3
TELLS_SOMETHING = 0.2  # A chance raised by so much is a reason by itself.
QUICK_MINUTES = 6.0  # Up to here "but it takes ..." is a reason.


def split_sentences(
    terms: Terms, posterior: Mapping[str, float], test: str, price: float, *, open_to: Container[str] = ()
) -> tuple[str, ...]:
    """Return the sentences about one test, the weightiest first.

    Parameters
    ----------
    terms : Terms
    posterior : mapping
        Belief now, by candidate.
    test : str
        Its id.
    price : float
        What it costs now, access included. [min]
    open_to : test ids
        Those that can be done now: none of them waits for this one.
    """
    before = still_suspected(posterior)
    found = sorted(readings(terms, posterior, test), key=lambda each: -each.chance)
    return (
        *_sentences(terms, posterior, before, found, price),
        *_waiting(terms, test, posterior, found, open_to),
    )


def _sentences(
    terms: Terms,
    posterior: Mapping[str, float],
    before: Sequence[str],
    found: Sequence[Reading],
    price: float,
) -> Iterator[str]:
    likeliest, rest = found[0], found[1:]
    if likeliest.chance >= ALWAYS:
        yield (
            f"Whatever is wrong, nearly every time {likeliest.outcome.clause}: by itself this tells next to "
            "nothing."
        )
        yield from (_if_otherwise(terms, each) for each in rest)
        return
    if likeliest.chance >= MOSTLY and len(likeliest.keeps) >= LEAVES_MOST * len(before):
        but = f", but it takes {minutes(price)}" if price <= QUICK_MINUTES else ""
        yield (
            f"{opening(times_in_ten(likeliest.chance))} you will be no wiser ({likeliest.outcome.clause}, "
            f"{suspects(len(likeliest.keeps))} left){but}."
        )
        yield from (_if_otherwise(terms, each) for each in rest)
        return
    if all(len(each.keeps) >= len(before) for each in found):
        yield _moves_chances(terms, posterior, found)
        return
    if all(len(each.keeps) == 1 for each in found):
        yield _settles(terms, found)
        return
    if all(len(each.keeps) >= LEAVES_MOST * len(before) for each in found):
        yield _leaves_most(before, found)
        return
    yield _cuts(terms, before, found)
    most = max(len(each.keeps) for each in found)
    if most <= CUTS_WELL * len(before) and len(before) > 2:
        off = len(before) - most
        verb = "go" if off > 1 else "goes"
        yield f"Whichever way it reads, at least {off} of {len(before)} {verb} off the list."


def _cuts(terms: Terms, before: Sequence[str], found: Sequence[Reading]) -> str:
    """Cuts 18 suspects to 7 if the line comes up (44 in 100) and to 11 if it stays down."""
    shown = sorted(found, key=lambda each: (len(each.keeps), -each.chance, each.outcome.id))
    parts = [
        f"to {_left(terms, each)} if {each.outcome.clause}"
        + (f" ({in_100(each.chance)})" if place < len(shown) - 1 or len(shown) > 2 else "")
        for place, each in enumerate(shown)
    ]
    told = " and ".join(parts) if len(parts) < 3 else f"{', '.join(parts[:-1])} and {parts[-1]}"
    return f"Cuts {suspects(len(before))} {told}."


def _leaves_most(before: Sequence[str], found: Sequence[Reading]) -> str:
    """Leaves 19 of 20 suspects if it is not there (28 in 100), and all of them if it is there."""
    shown = sorted(found, key=lambda each: (len(each.keeps), -each.chance, each.outcome.id))
    parts = [
        f"{len(each.keeps) if len(each.keeps) < len(before) else 'all of them'} if {each.outcome.clause} "
        f"({in_100(each.chance)})"
        for each in shown
    ]
    return f"Of {suspects(len(before))} it leaves {', '.join(parts)}."


def _waiting(
    terms: Terms,
    test: str,
    posterior: Mapping[str, float],
    found: Sequence[Reading],
    open_to: Container[str],
) -> Iterator[str]:
    """A test that tells little may be the way to those that tell much."""
    waiting = [each for each in terms.waiting_for(test) if each not in open_to]
    if not waiting or _most_moved(posterior, found)[0] > TELLS_SOMETHING:
        return
    verb = "waits" if len(waiting) == 1 else "wait"
    names = listed([terms.test(each) for each in waiting], 2)
    yield f"It is the way to what tells more: {names} {verb} for it."


def _most_moved(posterior: Mapping[str, float], found: Sequence[Reading]) -> tuple[float, Reading, str]:
    """The reading and the suspect whose chance it raises most, and by how much."""
    return max(
        (
            (after - posterior[name], reading, name)
            for reading in found
            for name, after in reading.posterior.items()
        ),
        key=lambda each: (each[0], each[2]),
    )


def _settles(terms: Terms, found: Sequence[Reading]) -> str:
    parts = [
        f"{quoted(terms.candidate(each.keeps[0]))} if {each.outcome.clause} ({in_100(each.chance)})"
        for each in found
    ]
    return f"Settles it: {', '.join(parts)}."


def _left(terms: Terms, reading: Reading) -> str:
    """The number left, and the name where it is one."""
    if len(reading.keeps) == 1:
        return f"one, {quoted(terms.candidate(reading.keeps[0]))},"
    return str(len(reading.keeps))


def _if_otherwise(terms: Terms, reading: Reading) -> str:
    kept = reading.keeps
    left = f"{quoted(terms.candidate(kept[0]))} is left" if len(kept) == 1 else f"{len(kept)} are left"
    return f"If {reading.outcome.clause} ({in_100(reading.chance)}), {left}."


def _moves_chances(terms: Terms, posterior: Mapping[str, float], found: Sequence[Reading]) -> str:
    """No suspect goes, but one comes forward: say which."""
    rise, reading, name = _most_moved(posterior, found)
    if half_up(rise * 100) < 1:
        return "By itself it moves no chance by more than 1 in 100."
    return (
        f"Takes nobody off the list but moves the chances: {quoted(terms.candidate(name))} goes from "
        f"{times_in_100(posterior[name])} to {in_100(reading.posterior[name])} if {reading.outcome.clause} "
        f"({in_100(reading.chance)})."
    )


def leaves(terms: Terms, posterior: Mapping[str, float], test: str) -> str:
    """Return what a test leaves in its likeliest case: "17 of 18 suspects 92 times in 100"."""
    likeliest = max(readings(terms, posterior, test), key=lambda each: (each.chance, each.outcome.id))
    before = still_suspected(posterior)
    times = times_in_100(likeliest.chance)
    left = min(len(likeliest.keeps), len(before))
    return f"{left} of {suspects(len(before))} {times} times in 100"
