"""Every part of a page, ready to be put together. The library is built in: no load line is needed.

Words and numbers (filters; all take None and say "not given")
    {{ value|q:unit }}                      12.31 V, value strong
    {{ value|plain:unit }}                  the same without markup, for attributes and sentences
    {% limits lo hi unit %}                 "12.40 to 12.90 V", "0.05 A or less"
    {{ odo|odometer:"mi" }}                 61,516 miles: as recorded
    {% distance km %}                       a distance in km, shown in the unit of the location
    {% distance value "mi" %}               the same from miles
    {{ moment|day }}                        Sat 17 Oct 2026 (a date, a date-time or a Moment; location's zone)
    {{ moment|day_short }}                  Sat 17 Oct
    {{ moment|clock }}                      11:20
    {{ moment|when }}                       Sat 17 Oct 2026, 11:20; the day alone where no time is known
    {{ moment|when_short }}                 Sat 17 Oct, 11:20
    {{ minutes|minutes }}                   2 h 5 min (a number of minutes or a timedelta)
    {{ days|days }}                         16 days
    {{ n|count:"gap" }}                     2 gaps; plural given: {{ n|count:"entry,entries" }}
    {{ amount|money:"GBP" }}                £141.60
    {{ level|evidence }}                    E4 verified
    {{ words|listed }}                      a, b and c
    {{ place|letter }}                      A for 0, B for 1: the letter of a channel
    {% rate x n low high %}                 16 of 214, 7.5 % (4.7 to 11.8); shares low, high from 0 to 1
    {% rate x n low high least=30 %}        below 30: 3 of 22, too few to compare

The chain (rings: objects or mappings with name, state joined|explained|open|ahead; word, findings, anchor,
template are optional)
    {% chain rings %}                       tall; draws ring.template where given, else the findings as gaps
    {% chain rings wide=False quiet=True %} one column (phone pages); state words for screen readers only
    <ol class="chain wide">{% for ring in rings|rings %}{% link ring %} … {% endlink %}{% endfor %}</ol>
                                            tall, with the page's own content; inside write
                                            <div class="link-body flow">…</div>
                                            <aside class="link-side flow">…</aside>
    {% chain_flat rings label="The chain of job 1057" %}              for a title block; sentence on a phone
    {% chain_flat rings label="Chain of job 1057" size="row" %}       for a row of a list
    {% sign "open" %}  {% sign "open" word=True %}                    a letter-sized ring, with its word

Readings
    {% verdict "within" %}                  within|below|above|none, or pass|fail; sign and word
    {% strip value lo hi %}                 the value drawn to scale; before=… adds the value before
    {% reading value unit lo hi %}          one line: value (limits) verdict; verdict="…" overrides place()
    {% readings rows caption="…" %}         the whole table; row keys: name, by, value, unit, lo, hi, and if
                                            wanted limit_note, verdict, verdict_word, level, text (no number),
                                            href, limits, proof and why (the probability, and one sentence)
    {% paper_strip value lo hi unit before=… label="…" uid="d1" %}    before and after, for papers

Boxes
    {% gap title text do=url explain=url close=url %}                 the three acts; do_word="Name the meter"
    {% gap title reason="…" by="Isa Renk" when=moment state="explained" %}
    {% gap title text state="pending" %}    not due yet     {% gap title text state="kept" by=… reason=… %}
    {% notice "This job came back" kind="came-back" %} … {% endnotice %}
    {% came_back earlier=order_link … %}    see its docstring: notice with a dimension line
    {% dimension start="…" start_note="…" start_url=url end="…" end_note="…" text="16 days, 312 miles" %}
    {% caution %}<ul><li>…</li></ul>{% endcaution %}   or   {% cautions list_of_sentences %}
    {% cells %}{% cell "Vehicle" "Norvane Tarn estate, 2017" note="QX 4471" %}{% endcells %}
    {% empty "No returns yet." "They appear here when …" url "Open a job" %}

Forms (write <form method="post" novalidate data-draft="order-1057-complaint">)
    {% sent_once %}                         in a form that adds something: sent twice, it is kept once
    {% error_summary form %}                what to put right, as links to the fields; formsets too
    {% field form.odo_in %}                 any field; size="short", label="…", hint="…"
    {% fields form %}                       all visible fields and the hidden ones
    {% filter_row filter.form %}            a list page's filter, GET, keeps the order of the table

    {% include "parts/_line_reading.html" with form=form action=url lo=lo hi=hi unit="A"
       limits_words="0.05 A or less" point="…" draft="order-1057-reading" %}  the one-line reading; the form
                                            has a field `reading`; load js/reading.js in the block scripts
    {% include "parts/_icon_search.html" %} _icon_photo, _icon_capture: inside a button, before its word
    A form with data-draft keeps its text on the device until a page with a success message answers it.

Lists (a table that folds: <div class="fold"><table class="list" role="table">, roles on its parts, and
data-h="Opened" on each cell for its name when folded)
    {% sort_head "Opened" "opened" %}       th with a link that sorts; num=True, param="sort"
    {% pager page_obj %}                    keeps the query
    {% csv_link %}  {% csv_link url %}      the same list as CSV; adds format=csv to the query

Drawings
    {% interval_bar low high value most=20 label="…" %}      on an axis from 0; all in per cent
    {% interval_strip low high value most=70 %}              a table cell; shares in per cent
    {% ruler used total %}                                   minutes used of minutes agreed

Bar
    {% navigation %}{% block nav_current %}front{% endblock %}{% endnavigation %}     base.html only
"""

from __future__ import annotations

import uuid
from datetime import date, datetime, timedelta
from decimal import Decimal, InvalidOperation

from django import template
from django.http import QueryDict
from django.template.loader import render_to_string
from django.urls import NoReverseMatch, reverse
from django.utils import timezone
from django.utils.html import format_html
from django.utils.safestring import mark_safe

from shared import chain as chains
from shared import scales, sent, wording
from shared.moments import Moment

register = template.Library()

NAVIGATION = (  # url name, label, role that sees it (empty: everybody)
    ("front", "Jobs", ""),
    ("vehicle-list", "Vehicles", ""),
    ("customer-list", "Customers", ""),
    ("return-list", "Returns", ""),
    ("audit", "Audit", "owner"),
    ("testkind-list", "Tests", ""),
    ("protocol-list", "Protocols", "owner"),
    ("instrument-list", "Instruments", ""),
)

VERDICT_WORDS = {
    "within": ("within", "within", "within"),
    "below": ("outside", "under", "outside, below"),
    "above": ("outside", "over", "outside, above"),
    "pass": ("within", "within", "as it should be"),
    "fail": ("outside", "over", "not as it should be"),
    "none": ("none", "none", "no verdict"),
}


# --- words and numbers -------------------------------------------------------------------------------


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
    return wording.limits_text(_number(lo), _number(hi), unit)


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


# --- the chain ---------------------------------------------------------------------------------------


@register.filter
def rings(links):
    """Links as rings that know their neighbours."""
    return chains.rings(links)


@register.inclusion_tag("parts/_chain.html", takes_context=True)
def chain(context, links, wide=True, quiet=False):
    """The tall chain. A ring draws its `template` (with `ring` and the page's context), else its findings."""
    return {**context.flatten(), "rings": chains.rings(links), "wide": wide, "quiet": quiet}


@register.simple_block_tag
def link(content, ring, quiet=False):
    """One link of a tall chain around the page's own content. `ring` comes from the `rings` filter."""
    return render_to_string("parts/_link.html", {"ring": ring, "quiet": quiet, "content": content})


@register.inclusion_tag("parts/_chain_flat.html")
def chain_flat(links, label, size="block", is_linked=False):
    """The chain lying down. size: block (title block, with words) or row (list row, words hidden).

    is_linked: each name leads to the part of the page that its ring stands for.
    """
    return {
        "rings": chains.rings(links),
        "label": label,
        "size": size,
        "said": chains.said(links),
        "is_linked": is_linked,
    }


@register.inclusion_tag("parts/_sign.html")
def sign(state, word=False):
    """A letter-sized ring. word: True for the state's own word, or a text."""
    text = chains.STATES[state] if word is True else word
    return {"state": state, "word": text}


# --- readings ----------------------------------------------------------------------------------------


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
    low, high = _number(lo), _number(hi)
    return {
        "value": value,
        "unit": unit,
        "limits": wording.limits_text(low, high, unit),
        "verdict": verdict or scales.place(_number(value), low, high),
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


# --- boxes -------------------------------------------------------------------------------------------


@register.inclusion_tag("parts/_gap.html")
def gap(
    title,
    text="",
    do="",
    explain="",
    close="",
    do_word="Do it",
    state="gap",
    by="",
    reason="",
    when=None,
    rule="",
):
    """What is missing, and the three ways on.

    state : gap; explained (reason, by, when); pending (asked when the job closes); kept (closed with it open:
    reason, by, when). do, explain, close : addresses; an act without one is left out.
    """
    return {
        "title": title,
        "text": text,
        "do": do,
        "explain": explain,
        "close": close,
        "do_word": do_word,
        "state": state,
        "by": by,
        "reason": reason,
        "when": when,
        "rule": rule,
    }


@register.simple_block_tag
def notice(content, title, kind="", id=""):
    """A notice around its content. kind: empty, or came-back (red lead)."""
    return render_to_string(
        "parts/_notice.html", {"title": title, "kind": kind, "id": id, "content": content}
    )


@register.inclusion_tag("parts/_dimension.html")
def dimension(start, end, text, start_note="", end_note="", start_url="", end_url="", big=False):
    """The stretch between two events as a dimension line; `text` says how long it is."""
    return {
        "start": start,
        "end": end,
        "text": text,
        "start_note": start_note,
        "end_note": end_note,
        "start_url": start_url,
        "end_url": end_url,
        "big": big,
    }


@register.inclusion_tag("parts/_came_back.html")
def came_back(
    earlier,
    later,
    text,
    earlier_note="",
    later_note="",
    earlier_url="",
    later_url="",
    why="",
    url="",
    title="This job came back",
    act="Lay both jobs side by side",
):
    """The comeback notice: "Job 1042" to "Job 1057", `text` "16 days, 312 miles", `why` in a sentence."""
    return {
        "title": title,
        "earlier": earlier,
        "later": later,
        "text": text,
        "earlier_note": earlier_note,
        "later_note": later_note,
        "earlier_url": earlier_url,
        "later_url": later_url,
        "why": why,
        "url": url,
        "act": act,
    }


@register.simple_block_tag
def caution(content, title="Before you touch it", level=3):
    """A caution around its content. It stands before the act, never after."""
    return render_to_string("parts/_caution.html", {"title": title, "content": content, "level": level})


@register.inclusion_tag("parts/_cautions.html")
def cautions(sentences, title="Before you touch it", level=3):
    """A caution from a list of sentences; nothing when the list is empty."""
    return {"sentences": list(sentences or ()), "title": title, "level": level}


@register.simple_block_tag
def cells(content):
    """The cells of a title block."""
    return format_html('<dl class="cells">{}</dl>', content)


@register.inclusion_tag("parts/_cell.html")
def cell(label, value, note="", url=""):
    """One cell: label, value, a note below it."""
    return {"label": label, "value": value, "note": note, "url": url}


@register.inclusion_tag("parts/_empty.html")
def empty(title, text="", url="", act=""):
    """What a list says when it has nothing, and the way on."""
    return {"title": title, "text": text, "url": url, "act": act}


# --- forms -------------------------------------------------------------------------------------------


@register.inclusion_tag("parts/_field.html")
def field(bound, size="", label="", hint="", optional=True):
    """One form field: label above, hint below, error below in words.

    size : empty, short (a number, a date) or medium. optional : say so beside a field that may stay empty.
    """
    return _field_context(bound, size, label, hint, optional)


@register.inclusion_tag("parts/_fields.html")
def fields(form, optional=True):
    """All fields of a form in their order, hidden ones first."""
    return {"form": form, "optional": optional}


@register.simple_tag(takes_context=True)
def sent_once(context):
    request = context["request"]
    key = request.POST.get(sent.FIELD) or uuid.uuid4()
    return format_html('<input type="hidden" name="{}" value="{}">', sent.FIELD, key)


@register.inclusion_tag("parts/_error_summary.html")
def error_summary(*forms):
    """What to put right, as links to the fields. Takes forms, formsets and lists of them; else nothing."""
    lines, general = [], []
    for form in _single_forms(forms):
        if not getattr(form, "is_bound", False):
            continue
        general.extend(form.non_field_errors())
        for bound in form:
            lines.extend(
                {"id": _first_id(bound), "label": bound.label, "text": text} for text in bound.errors
            )
    total = len(lines) + len(general)
    return {
        "general": general,
        "lines": lines,
        "title": f"{wording.count_text(total, 'thing')} to put right",
        "total": total,
    }


@register.inclusion_tag("parts/_filter_row.html", takes_context=True)
def filter_row(context, form, act="Show", label="Choose what to show", sort="sort"):
    """A list page's filter. The order of the table (`sort`) is kept."""
    request = context.get("request")
    kept = request.GET.get(sort, "") if request else ""
    return {
        "form": form,
        "act": act,
        "label": label,
        "sort": sort,
        "kept": "" if sort in form.fields else kept,
        "path": request.path if request else "",
        "narrowed": bool(
            request and any(v for k, v in request.GET.items() if k in form.fields and k != sort)
        ),
    }


# --- lists -------------------------------------------------------------------------------------------


@register.inclusion_tag("parts/_sort_head.html", takes_context=True)
def sort_head(context, label, key, num=False, param="sort"):
    """A table head that sorts by `key`; pressing it again turns the order round."""
    request = context.get("request")
    now = request.GET.get(param, "") if request else ""
    order = {key: "ascending", f"-{key}": "descending"}.get(now, "")
    return {
        "label": label,
        "order": order,
        "num": num,
        "query": _query(request, {param: f"-{key}" if order == "ascending" else key, "page": None}),
    }


@register.inclusion_tag("parts/_pager.html", takes_context=True)
def pager(context, page, noun="entry,entries", param="page"):
    """Where we are in a long list, and the way on. Keeps the rest of the query."""
    request = context.get("request")
    one, _, many = noun.partition(",")
    return {
        "page": page,
        "total": wording.count_text(page.paginator.count, one, many),
        "before": _query(request, {param: page.previous_page_number()}) if page.has_previous() else "",
        "after": _query(request, {param: page.next_page_number()}) if page.has_next() else "",
    }


@register.inclusion_tag("parts/_csv_link.html", takes_context=True)
def csv_link(context, url="", text="The same list as CSV", param="format"):
    """A link to the list as CSV, with the filter that is set."""
    return {"url": f"{url}{_query(context.get('request'), {param: 'csv', 'page': None})}", "text": text}


# --- drawings ----------------------------------------------------------------------------------------


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


# --- the bar -----------------------------------------------------------------------------------------


@register.simple_block_tag(takes_context=True)
def navigation(context, content):
    """The main navigation for the person's roles; the content names the page that is open.

    A page that is not there yet is left out.
    """
    request = context.get("request")
    user = getattr(request, "user", None)
    current = content.strip() or _nearest(request)
    items = [
        {"url": address, "label": label, "current": name == current}
        for name, label, role in NAVIGATION
        if (address := _address(name)) and (not role or (user and user.has_role(role)))
    ]
    return render_to_string("parts/_navigation.html", {"items": items})


# --- behind the tags ---------------------------------------------------------------------------------


PAPER_STRIP_WIDTH = 288
PAPER_STRIP_LEFT = 8


def _number(value):
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


def _drawn(value, lo, hi, before):
    placed = scales.strip(_number(value), _number(lo), _number(hi), _number(before))
    outcome = scales.place(_number(value), _number(lo), _number(hi))
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
    lo, hi, value = _number(row.get("lo")), _number(row.get("hi")), _number(row.get("value"))
    return {
        **row,
        "value": row.get("value"),
        "lo": lo,
        "hi": hi,
        "limits": row.get("limits") or wording.limits_text(lo, hi, row.get("unit", "")),
        "verdict": row.get("verdict") or scales.place(value, lo, hi),
    }


def _field_context(bound, size, label, hint, optional):
    kind = getattr(bound.field.widget, "input_type", "")
    hint = hint or bound.help_text
    parts = ((f"{bound.auto_id}_helptext", hint), (f"{bound.auto_id}_error", bound.errors))
    described = " ".join(name for name, there in parts if there)
    choices = kind in ("radio", "checkbox") and bound.use_fieldset
    tick = kind == "checkbox" and not choices
    return {
        "field": bound,
        "control": ""
        if choices
        else bound.as_widget(attrs={"aria-describedby": described} if described else {}),
        "choices": bound.subwidgets if choices else (),
        "shape": "choices" if choices else "group" if bound.use_fieldset else "tick" if tick else "line",
        "size": size,
        "label": label or bound.label,
        "hint": hint,
        "optional": optional and not bound.field.required and not tick,
        "described": described,
    }


def _single_forms(forms):
    for form in forms:
        if isinstance(form, list | tuple):
            yield from _single_forms(form)
        elif hasattr(form, "management_form"):
            yield from form.forms
        elif form is not None:
            yield form


def _first_id(bound):
    """The id of the control that takes the cursor: of a group, its first choice."""
    if bound.use_fieldset and hasattr(bound, "subwidgets"):
        for option in bound.subwidgets:
            return option.id_for_label
    return bound.id_for_label or bound.auto_id


def _query(request, changes):
    """The page's query with some values changed; None takes a value out."""
    query = request.GET.copy() if request else QueryDict(mutable=True)
    for name, value in changes.items():
        if value is None:
            query.pop(name, None)
        else:
            query[name] = value
    return f"?{query.urlencode()}"


def _address(name):
    try:
        return reverse(name)
    except NoReverseMatch:
        return ""


def _nearest(request):
    """The navigation entry whose address is the longest beginning of the page's own."""
    path = getattr(request, "path", "")
    found = [
        (len(address), name)
        for name, _, _ in NAVIGATION
        if (address := _address(name)) and path.startswith(address)
    ]
    return max(found)[1] if found else ""
