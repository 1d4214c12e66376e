"""What is said of one check: an association, and never a cause (statistics.md section 5). No Django."""

from __future__ import annotations

from diagnostics.audit.compared import CheckRow
from shared.wording import number_text, whole_text

ASSOCIATION = (
    "What goes with more comebacks need not cause them: hard jobs may be the ones where steps get skipped."
)
NOT_ENOUGH = "Not enough comebacks to judge this {what}"


def say(row: CheckRow) -> str:
    """Return what the comparison allows to be said, in one or two sentences."""
    if row.answer == "too_few":
        return gate_words(row)
    if row.answer == "no_difference":
        return no_difference_words(row)
    often = "more" if row.answer == "more" else "less"
    return (
        f"Came back {often} often {_where(row)}. Stands out after allowing for the number compared. It may "
        "still be chance or something not recorded."
    )


def gate_words(row: CheckRow) -> str:
    """Return why a check cannot be judged, and about how many more jobs it takes; empty where it can."""
    if row.gate.passed:
        return ""
    not_enough = NOT_ENOUGH.format(what="gap" if row.is_gap else "test")
    skipped, done = row.when_skipped, row.when_done
    if skipped is None or done is None:
        never = ("done", "skipped") if not row.is_gap else ("clean", "found")
        return f"Never {never[skipped is None]}, so there is nothing to compare."
    if row.gate.more is not None:
        more = whole_text(row.gate.more)
        return f"{not_enough}. About {more} more {'job is' if more == '1' else 'jobs are'} needed."
    if not skipped.count and not done.count:
        return f"{not_enough}: none of {skipped.of + done.of} jobs came back."
    both = "clean and with it" if row.is_gap else "done and skipped"
    return f"{not_enough}: no kind of job has it both {both}."


def no_difference_words(row: CheckRow) -> str:
    """Return what still fits where nothing stands out: "Data fit anything from half to three times."."""
    ratio = row.adjusted.ratio if row.adjusted else row.ratio
    if ratio is None or ratio.low is None:
        return "No clear difference."
    if ratio.low > 1 or (ratio.high is not None and ratio.high < 1):
        return "Would stand out alone; not after allowing for the number compared."
    if ratio.high is None:
        return f"No clear difference. Data fit anything from {times_text(ratio.low)} upwards."
    return f"No clear difference. Data fit anything from {times_text(ratio.low)} to {times_text(ratio.high)}."


def times_text(ratio: float) -> str:
    """Return a ratio in words: "half", "as often", "3.1 times"."""
    shown = number_text(f"{ratio:.1f}" if ratio >= 0.095 else f"{ratio:.2f}")
    return {"0.5": "half", "1.0": "as often", "2.0": "twice"}.get(shown, f"{shown} times")


def _where(row: CheckRow) -> str:
    return "with this gap" if row.is_gap else "when skipped"
