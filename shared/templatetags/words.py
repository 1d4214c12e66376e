"""Words and numbers."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from decimal import Decimal, InvalidOperation

from django import template
from django.utils import timezone
from django.utils.html import format_html
from django.utils.safestring import mark_safe

from shared import wording
from shared.moments import Moment

register = template.Library()


@register.filter
def q(value, unit=""):
    """Value strong, unit plain, kept on one line."""
    if value is None or value == "":
        return mark_safe(f'<span class="q none">{wording.EMPTY}</span>')
    return format_html(
        '<span class="q"><b>{}</b>{}</span>',
        wording.number_text(value),
        wording.unit_tail(unit).replace(wording.NBSP, " "),
    )


@register.filter
def plain(value, unit=""):
    """Value and unit without markup."""
    return wording.quantity_text(value, unit)


@register.simple_tag
def limits(lo, hi, unit=""):
    """Limits in words."""
    return wording.limits_text(as_number(lo), as_number(hi), unit)


@register.filter
def odometer(value, unit):
    """A distance as it was recorded."""
    return wording.distance_text(value, unit)


@register.simple_tag(takes_context=True)
def distance(context, value, unit="km"):
    """A distance in `unit`, shown in the unit of the page's location."""
    if value is None or value == "":
        return wording.EMPTY
    wanted = getattr(context.get("location"), "distance_unit", None) or unit
    return wording.distance_text(wording.distance_in(value, unit, wanted), wanted)


@register.filter
def day(value):
    """Sat 17 Oct 2026."""
    on, _ = _local(value)
    return f"{on:%a} {on.day} {on:%b} {on.year}" if on else wording.EMPTY


@register.filter
def day_short(value):
    """Sat 17 Oct."""
    on, _ = _local(value)
    return f"{on:%a} {on.day} {on:%b}" if on else wording.EMPTY


@register.filter
def clock(value):
    """11:20 in the location's zone; nothing where only the day is known."""
    _, at = _local(value)
    return f"{at:%H:%M}" if at else ""


@register.filter
def when(value):
    """Sat 17 Oct 2026, 11:20."""
    return ", ".join(part for part in (day(value), clock(value)) if part)


@register.filter
def when_short(value):
    """Sat 17 Oct, 11:20."""
    return ", ".join(part for part in (day_short(value), clock(value)) if part)


@register.filter
def minutes(value):
    """A stretch of minutes, or a timedelta, in words."""
    if value is None or value == "":
        return wording.EMPTY
    return wording.minutes_text(value.total_seconds() // 60 if isinstance(value, timedelta) else value)


@register.filter
def days(value):
    """16 days."""
    return wording.EMPTY if value is None or value == "" else wording.days_text(int(value))


@register.filter
def count(value, noun):
    """2 gaps. The noun may carry its plural after a comma."""
    one, _, many = noun.partition(",")
    return wording.count_text(int(value), one, many)


@register.filter
def money(value, currency):
    """£141.60."""
    return wording.EMPTY if value is None or value == "" else wording.money_text(value, currency)


@register.filter
def evidence(level):
    """E4 verified."""
    return f"{level} {wording.EVIDENCE_WORDS[level]}" if level in wording.EVIDENCE_WORDS else ""


@register.filter
def letter(place):
    """The letter of a channel by its place from 0: A, B, C."""
    return chr(ord("A") + int(place))


@register.filter
def listed(words):
    """a, b and c."""
    return wording.and_list([str(word) for word in words])


@register.inclusion_tag("parts/_rate.html")
def rate(x, n, low, high, least=0):
    """x of n as a share with its interval. Shares from 0 to 1; below `least` the share is withheld."""
    few = n < max(least, 1)
    return {
        "x": x,
        "n": n,
        "few": few,
        "share": None if few else wording.percent_text(Decimal(x) / Decimal(n)),
        "interval": "" if few else wording.interval_text(low, high),
    }


def as_number(value):
    if value is None or value == "" or isinstance(value, bool):
        return None
    if isinstance(value, Decimal):
        return value
    try:
        return Decimal(str(value))
    except InvalidOperation:
        return None


def _local(value):
    """The date and the time of day (None where unknown) of a date, a date-time or a Moment."""
    if isinstance(value, Moment):
        value = value.instant if value.instant is not None else value.on
    if isinstance(value, datetime):
        local = timezone.localtime(value) if timezone.is_aware(value) else value
        return local.date(), local.time()
    if isinstance(value, date):
        return value, None
    return None, None
