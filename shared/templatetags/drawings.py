"""Intervals and rulers, drawn to scale."""

from __future__ import annotations

from django import template

from shared import scales, wording

register = template.Library()


@register.inclusion_tag("parts/_interval_bar.html")
def interval_bar(low, high, value, most, label, unit="%"):
    """An interval on an axis from zero; hatched is where the truth likely lies. Numbers in `unit`."""
    marks = scales.ticks(float(most))
    end = marks[-1].value
    at, from_, to = scales.positions([float(value), float(low), float(high)], end)
    return {
        "ticks": [
            {"at": t.at, "anchor": t.anchor, "label": f"{t.label} {unit}" if t.at == 0 else t.label}
            for t in marks
        ],
        "at": at,
        "from": from_,
        "width": round(to - from_, 2),
        "to": to,
        "value": wording.number_text(value),
        "low": wording.number_text(low),
        "high": wording.number_text(high),
        "low_inside": from_ < 8,
        "high_inside": to > 90,
        "label": label,
    }


@register.inclusion_tag("parts/_interval_strip.html")
def interval_strip(low, high, value, most):
    """An interval in a table cell, from 0 to `most`; the numbers stand beside it."""
    at, from_, to = scales.positions([float(value), float(low), float(high)], float(most))
    return {"at": at, "from": from_, "width": round(to - from_, 2)}


@register.inclusion_tag("parts/_ruler.html")
def ruler(used, total):
    """Minutes used of minutes agreed, as a ruler. Time beyond the agreed minutes stands past its end."""
    end = scales.ticks(float(max(used, total, 1)))[-1].value if used > total else float(max(total, 1))
    at, limit = scales.positions([float(used), float(total)], end)
    quarters = [{"at": 25 * i, "label": f"{end / 4 * i:.10g}", "anchor": "middle"} for i in range(5)]
    quarters[0]["anchor"], quarters[-1]["anchor"] = "start", "end"
    quarters[-1]["label"] += " min"
    minor = [round(100 * i / 12, 2) for i in range(1, 12) if i % 3]
    return {
        "used": used,
        "total": total,
        "left": total - used,
        "at": at,
        "limit": limit,
        "over": used > total,
        "quarters": quarters,
        "minor": minor,
    }
