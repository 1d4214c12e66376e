"""Charts of the audit on pages and papers.

{% load audit_charts %}
{% audit_chart chart %}                    drawn for wide and for narrow room, its table folded below
{% audit_chart chart table="beside" %}     the table stands beside the drawing
{% audit_chart chart table="" %}           the drawing alone, where its figures stand elsewhere
{% audit_table chart %}                    the table alone
{% paper_chart chart "curve" %}            for a paper: its own ink, its figures below; a name once a paper
{% share_strip share most %}               a share and its interval as a strip; `most` from 0 to 1
{% share_bar share 20 label %}             the one figure of a page on its axis, to 20 %
{{ share|per_cent }}, {{ share|interval }}     "7.5" and "4.7 to 11.8"
{% audit_query query by="system" %}        the question as an address has it, some parts changed
{% audit_nav "audit-rates" %}              the pages of the audit, the open one marked
{% share_words share least %}              "16 of 214, 7.5 % (4.7 to 11.8)"; below `least` the counts alone

`chart` is made by `diagnostics.audit.drawing`, `share` is a Proportion.
"""

from __future__ import annotations

from urllib.parse import urlencode

from django import template
from django.urls import reverse
from django.utils.safestring import mark_safe

from diagnostics.audit import drawing
from shared import wording
from shared.templatetags.drawings import interval_bar

register = template.Library()

OWNER, BAY, STAFF = ("owner",), ("technician", "owner"), ("advisor", "technician", "owner")
PARTS = (  # url name, label, who may open it
    ("audit", "How are we doing", OWNER),
    ("audit-rates", "Rates", OWNER),
    ("audit-steps", "Steps", OWNER),
    ("audit-signals", "Signals", OWNER),
    ("audit-people", "People", OWNER),
    ("audit-costs", "Costs", OWNER),
    ("audit-reviews", "Reviews", BAY),
    ("audit-learning", "Changes", OWNER),
    ("calls", "Calls", STAFF),
    ("report-list", "Reports", OWNER),
)
WITHOUT_PERIOD = frozenset({"audit-learning", "audit-reviews", "calls", "report-list"})
SCOPE_KEYS = ("since", "until", "location", "system", "counted")


@register.inclusion_tag("diagnostics/audit/_nav.html", takes_context=True)
def audit_nav(context, here=""):
    """The pages of the audit that the person may open; the period asked for goes along."""
    request = context.get("request")
    if request is None:
        return {"items": []}
    kept = urlencode([(key, request.GET[key]) for key in SCOPE_KEYS if request.GET.get(key)])
    items = []
    for name, label, roles in PARTS:
        if not any(request.user.has_role(role) for role in roles):
            continue
        url = reverse(name)
        query = f"?{kept}" if kept and name not in WITHOUT_PERIOD else ""
        items.append({"url": f"{url}{query}", "label": label, "is_here": here == name or request.path == url})
    return {"items": items}


@register.inclusion_tag("diagnostics/audit/_chart.html")
def audit_chart(chart, table="below"):
    """A chart; which of its two drawings shows is decided by the room there is."""
    return {
        "broad": mark_safe(drawing.svg(chart.broad, chart.text, room="broad")),
        "narrow": mark_safe(drawing.svg(chart.narrow, chart.text, room="narrow")),
        "table": chart.table,
        "place": table,
    }


@register.inclusion_tag("diagnostics/audit/_chart_table.html")
def audit_table(chart):
    """The figures of a chart."""
    return {"table": chart.table}


@register.inclusion_tag("diagnostics/audit/_paper_chart.html")
def paper_chart(chart, uid):
    """A chart for a paper."""
    return {"drawn": mark_safe(drawing.paper_svg(chart, uid)), "table": chart.table}


@register.inclusion_tag("parts/_interval_strip.html")
def share_strip(share, most):
    """A share as a strip; its figures stand beside it. Nothing of no share."""
    drawn = drawing.strip(share, most)
    return {"at": drawn.at, "from": drawn.start, "width": drawn.width}


@register.inclusion_tag("parts/_rate.html")
def share_words(share, least=0):
    """A share in words with its interval; below `least` only what was counted."""
    few = share.of < max(least, 1)
    return {
        "x": share.count,
        "n": share.of,
        "few": few,
        "share": None if few else wording.percent_text(share.share),
        "interval": "" if few else wording.interval_text(share.low, share.high),
    }


@register.inclusion_tag("parts/_interval_bar.html")
def share_bar(share, most, label):
    """A share and its interval on an axis from zero to `most`, in per cent."""
    value, low, high = (wording.percent_text(one) for one in (share.share, share.low, share.high))
    return interval_bar(low, high, value, most, label)


@register.filter
def per_cent(share):
    """A share of 1, or a Proportion, in per cent without the sign: 7.5."""
    return wording.percent_text(getattr(share, "share", share))


@register.filter
def interval(share):
    """The interval of a Proportion in per cent: 4.7 to 11.8."""
    return wording.interval_text(share.low, share.high)


@register.simple_tag
def audit_query(query, **changes):
    """The question of a page as an address has it, with some parts changed."""
    return urlencode({key: value for key, value in {**query, **changes}.items() if value})
