"""How numbers, limits, distances and stretches of time are written on a page or a paper.

Plain text only: no markup. A space inside the result is a no-break space where a line must not break.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Decimal, InvalidOperation

NBSP = "\u00a0"
MINUS = "\u2212"
EMPTY = "not given"

KM_PER_MILE = Decimal("1.609344")  # exact: the international mile of 1959. From memory.

EVIDENCE_WORDS = {
    "E0": "claimed",
    "E1": "observed",
    "E2": "measured",
    "E3": "judged",
    "E4": "verified",
    "E5": "confirmed",
}

COUNT = "count"
CURRENCY_SIGNS = {"GBP": "£", "EUR": "€", "USD": "$", "CAD": "$", "AUD": "$", "NZD": "$"}


def number_text(value: Decimal | int | float | str) -> str:
    """Return a number as it is read: the decimals it was given with, a true minus, no exponent.

    Parameters
    ----------
    value : Decimal, int, float or text
        Any unit. Text that is no number is returned as it is.
    """
    try:
        number = value if isinstance(value, Decimal) else Decimal(str(value).strip())
    except InvalidOperation:
        return str(value)
    if not number.is_finite():
        return str(value)
    return f"{number:f}".replace("-", MINUS)


def quantity_text(value: Decimal | int | float | str | None, unit: str = "") -> str:
    """Return value and unit with a no-break space between, or "not given"."""
    if value is None or value == "":
        return EMPTY
    return f"{number_text(value)}{unit_tail(unit)}"


def limits_text(lo: Decimal | None, hi: Decimal | None, unit: str = "") -> str:
    """Return limits in words: "12.40 to 12.90 V", "0.05 A or less", "12.40 V or more", "no limit given".

    Parameters
    ----------
    lo, hi : Decimal or None
        Lower and upper limit, both included, in `unit`; None where there is none.
    """
    tail = unit_tail(unit)
    if lo is not None and hi is not None:
        if lo == hi:
            return f"{number_text(lo)}{tail}"
        return f"{number_text(lo)} to {number_text(hi)}{tail}"
    if hi is not None:
        return f"{number_text(hi)}{tail} or less"
    if lo is not None:
        return f"{number_text(lo)}{tail} or more"
    return "no limit given"


def unit_tail(unit: str) -> str:
    """The unit behind a number. A count stands alone: 41, and 5 or less."""
    return f"{NBSP}{unit}" if unit and unit != COUNT else ""


def whole_text(value: Decimal | int | float | str) -> str:
    """Return a count or a distance rounded to a whole number (half up), thousands parted by a comma."""
    whole = Decimal(str(value)).quantize(Decimal(1), rounding=ROUND_HALF_UP)
    return f"{int(whole):,}".replace("-", MINUS)


def distance_text(value: Decimal | int | str | None, unit: str) -> str:
    """Return a distance as recorded, in words: "61,516 miles", "6,000 km", "1 mile".

    Parameters
    ----------
    value : Decimal, int, text or None
        Distance in `unit`; shown as a whole number.
    unit : {'km', 'mi'}

    Raises
    ------
    ValueError
        If the unit is another one.
    """
    if unit not in ("km", "mi"):
        raise ValueError(f"'{unit}' is no unit of distance here. Use km or mi.")
    if value is None or value == "":
        return EMPTY
    text = whole_text(value)
    if unit == "km":
        return f"{text}{NBSP}km"
    return f"{text}{NBSP}{'mile' if text == '1' else 'miles'}"


def distance_in(value: Decimal | int | str, unit: str, wanted: str) -> Decimal:
    """Return a distance in `unit` ('km' or 'mi') converted to `wanted`, unrounded."""
    number = Decimal(str(value))
    if unit == wanted:
        return number
    if (unit, wanted) == ("km", "mi"):
        return number / KM_PER_MILE
    if (unit, wanted) == ("mi", "km"):
        return number * KM_PER_MILE
    raise ValueError(f"Distances are in km or mi, not '{unit}' or '{wanted}'.")


def minutes_text(minutes: int | float) -> str:
    """Return a stretch of time in its two largest parts: "15 min", "2 h 5 min", "1 day 1 h", "13 days".

    Days are 24 hours. From two days on the hours are left out.
    """
    left = int(minutes)
    if left < 0:
        return f"{MINUS}{minutes_text(-left)}"
    days, rest = divmod(left, 24 * 60)
    hours, spare = divmod(rest, 60)
    if days >= 2:
        return f"{days}{NBSP}days"
    if days:
        return f"1{NBSP}day" + (f" {hours}{NBSP}h" if hours else "")
    if hours:
        return f"{hours}{NBSP}h" + (f" {spare}{NBSP}min" if spare else "")
    return f"{spare}{NBSP}min"


def days_text(days: int) -> str:
    """Return "1 day" or "16 days"."""
    return f"{days}{NBSP}{'day' if days == 1 else 'days'}"


def count_text(count: int, one: str, many: str = "") -> str:
    """Return "1 gap", "2 gaps", "no gaps"; `many` where the plural is not `one` and s."""
    noun = one if count == 1 else (many or f"{one}s")
    return f"{'no' if count == 0 else whole_text(count)}{NBSP}{noun}"


def percent_text(share: float | Decimal, decimals: int = 1) -> str:
    """Return a share of 1 in per cent, without the sign: 0.0748 gives "7.5"."""
    step = Decimal(1).scaleb(-decimals)
    return number_text((Decimal(str(share)) * 100).quantize(step, rounding=ROUND_HALF_UP))


def interval_text(low: float | Decimal, high: float | Decimal) -> str:
    """Return an interval of shares in per cent: "4.7 to 11.8"."""
    return f"{percent_text(low)} to {percent_text(high)}"


def money_text(amount: Decimal | str, currency: str) -> str:
    """Return an amount with its currency, two decimals at least: "£1,141.60", "−€9.00", "1,200.00 SEK"."""
    number = Decimal(str(amount))
    if Decimal(number).as_tuple().exponent > -2:  # type: ignore[operator]
        number = number.quantize(Decimal("0.01"))
    figure = f"{abs(number):,f}"
    sign = MINUS if number < 0 else ""
    mark = CURRENCY_SIGNS.get(currency)
    return f"{sign}{mark}{figure}" if mark else f"{sign}{figure}{NBSP}{currency}"


def and_list(words: Sequence[str]) -> str:
    """Return "a", "a and b", "a, b and c"."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"
