"""Readings, drawn and in words."""

from __future__ import annotations

from decimal import Decimal

from django import template

from shared import scales, wording
from shared.templatetags.words import as_number, limits

register = template.Library()


VERDICT_WORDS = {
    "within": ("within", "within", "within"),
    "below": ("outside", "under", "outside, below"),
    "above": ("outside", "over", "outside, above"),
    "pass": ("within", "within", "as it should be"),
    "fail": ("outside", "over", "not as it should be"),
    "none": ("none", "none", "no verdict"),
}


@register.inclusion_tag("parts/_verdict.html")
def verdict(outcome, word=""):
    """Sign and word of a verdict: within, below, above, pass, fail or none."""
    kind, shape, text = VERDICT_WORDS[str(outcome or "none")]
    return {"kind": kind, "shape": shape, "word": word or text}


@register.inclusion_tag("parts/_strip.html")
def strip(value, lo, hi, before=None):
    """The value drawn to scale beside its limits, hidden from screen readers. All in one unit."""
    return _drawn(value, lo, hi, before)


@register.inclusion_tag("parts/_reading.html")
def reading(value, unit, lo=None, hi=None, verdict=""):
    """One reading in a line of text: value, limits in brackets, verdict."""
    low, high = as_number(lo), as_number(hi)
    return {
        "value": value,
        "unit": unit,
        "limits": wording.limits_text(low, high, unit),
        "verdict": verdict or scales.place(as_number(value), low, high),
    }


@register.inclusion_tag("parts/_readings.html")
def readings(rows, caption="Readings"):
    """The table of readings, which folds into lines where it has no room.

    rows : mappings with name, by (who and when, text), value, unit, lo, hi; and if wanted limit_note,
    verdict (else where the value stands), level (E0 to E5), text (what was seen, when there is no number),
    href (the row's name becomes a link), limits (its own words).
    """
    return {"rows": [_reading_row(row) for row in rows], "caption": caption}


@register.inclusion_tag("parts/_paper_strip.html")
def paper_strip(value, lo, hi, unit, label, uid, before=None):
    """Before and after on one scale, with its own ink, for papers. `uid` must be unique on the paper."""
    drawn = _drawn(value, lo, hi, before)
    placed = drawn["strip"]
    return {
        **drawn,
        "uid": uid,
        "unit": unit,
        "label": f"{label}: {_paper_words(value, before, unit)}, should be {limits(lo, hi, unit)}",
        "at": _paper_x(placed.at) if placed and placed.at is not None else None,
        "before_at": _paper_x(placed.before) if placed and placed.before is not None else None,
        "band_at": _paper_x(placed.band_at) if placed else 0,
        "band_width": round(placed.band_width * PAPER_STRIP_WIDTH / 100, 1) if placed else 0,
        "break_at": _paper_x(placed.break_at) if placed and placed.break_at is not None else None,
        "start_label": _scale_label(placed.start) if placed and placed.break_at is None else "",
        "end_label": _scale_label(placed.end) if placed and placed.break_at is None else "",
        "flip_after": bool(placed and placed.at is not None and placed.at > 75),
        "flip_before": bool(placed and placed.before is not None and placed.before > 25),
    }


PAPER_STRIP_WIDTH = 288


PAPER_STRIP_LEFT = 8


def _drawn(value, lo, hi, before):
    placed = scales.strip(as_number(value), as_number(lo), as_number(hi), as_number(before))
    outcome = scales.place(as_number(value), as_number(lo), as_number(hi))
    return {"strip": placed, "out": outcome in ("below", "above")}


def _paper_x(percent):
    return round(PAPER_STRIP_LEFT + percent * PAPER_STRIP_WIDTH / 100, 1)


def _scale_label(value):
    """The end of a scale in three digits, without an exponent."""
    return wording.number_text(Decimal(f"{value:.3g}") + 0)


def _paper_words(value, before, unit):
    words = [("before", before), ("after", value)]
    return ", ".join(f"{name} {wording.quantity_text(v, unit)}" for name, v in words if v is not None)


def _reading_row(row):
    lo, hi, value = as_number(row.get("lo")), as_number(row.get("hi")), as_number(row.get("value"))
    return {
        **row,
        "value": row.get("value"),
        "lo": lo,
        "hi": hi,
        "limits": row.get("limits") or wording.limits_text(lo, hi, row.get("unit", "")),
        "verdict": row.get("verdict") or scales.place(value, lo, hi),
    }
