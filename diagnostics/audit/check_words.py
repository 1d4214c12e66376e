"""What is said of one check: an association, and never a cause (statistics.md section 5). No Django."""

from __future__ import annotations

from decimal import Decimal

from diagnostics.audit.compared import CheckRow, ReturnMean
from shared.wording import money_text, number_text, whole_text

STATE_WORDS = {
    False: {"done": "done", "waived": "waived", "skipped": "skipped"},
    True: {"done": "clear", "waived": "explained", "skipped": "open"},
}


def state_word(row: CheckRow, state: str) -> str:
    """Return what a state is called: a step is done or skipped, a gap is clear or open."""
    return STATE_WORDS[row.is_gap][state]


def say(row: CheckRow) -> str:
    """Return what the comparison allows to be said, in one or two sentences."""
    if row.answer == "too_few":
        return gate_words(row)
    if row.answer == "no_difference":
        return no_difference_words(row)
    often = "more" if row.answer == "more" else "less"
    return (
        f"Came back {often} often when {state_word(row, 'skipped')}. Stands out after allowing for the "
        "number compared. It may still be chance or something not recorded."
    )


def gate_words(row: CheckRow) -> str:
    """Return why a check cannot be judged, and about how many more jobs it takes; empty where it can."""
    if row.gate.passed:
        return ""
    not_enough = f"Not enough comebacks to judge this {'gap' if row.is_gap else 'test'}"
    skipped, done = row.when_skipped, row.when_done
    if skipped is None or done is None:
        never = state_word(row, "skipped" if skipped is None else "done")
        return f"Never {never}, so there is nothing to compare."
    if row.gate.more is not None:
        more = whole_text(row.gate.more)
        return f"{not_enough}. About {more} more {'job is' if more == '1' else 'jobs are'} needed."
    if not skipped.count and not done.count:
        return f"{not_enough}: none of {whole_text(skipped.of + done.of)} jobs came back."
    both = f"{state_word(row, 'done')} and {state_word(row, 'skipped')}"
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


def extra_text(row: CheckRow) -> str:
    """Return the difference where it may be judged: "6.2 extra comebacks in 100 such jobs (1.1 to 11.4)."."""
    extra = row.extra if row.gate.passed else None
    if extra is None:
        return ""
    value, low, high = (number_text(f"{100 * one:.1f}") for one in (extra.value, extra.low, extra.high))
    return f"{value} extra comebacks in 100 such jobs ({low} to {high})."


def price_text(row: CheckRow, mean: ReturnMean) -> str:
    """Return what the test takes and what its absence goes with, of 100 jobs; unknown is said, never zero."""
    price = row.price
    if price is None or price.extra is None:
        return ""
    said = []
    if not row.is_gap:
        takes = price.test_minutes
        said.append(
            "How long the test takes is not known."
            if takes is None
            else f"On 100 jobs the test takes {_hours(100 * takes)} h."
        )
    if price.extra_minutes is None:
        said.append("What a comeback takes is not known.")
    else:
        said.append(
            f"The extra comebacks take {_minutes(price.extra_minutes)} that nobody pays, at the mean of "
            f"{mean.minutes_of} of {mean.of} comebacks."
        )
    if price.extra_money is None:
        said.append("What they cost is not known.")
    else:
        said.append(
            f"They cost {_money(price.extra_money, mean.currency)}, at the mean of {mean.money_of} that were "
            "priced."
        )
    return " ".join(said)


def _hours(minutes: float) -> str:
    return number_text(f"{minutes / 60:.1f}".removesuffix(".0"))


def _minutes(three: tuple[float, float, float]) -> str:
    value, low, high = (_hours(one) for one in three)
    return f"{value} h ({low} to {high})"


def _money(three: tuple[Decimal, Decimal, Decimal], currency: str) -> str:
    value, low, high = (money_text(one, currency) for one in three)
    return f"{value} ({low} to {high})"
