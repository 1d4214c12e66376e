"""Lists: sorting, paging, the same as CSV."""

from __future__ import annotations

from django import template
from django.http import QueryDict

from shared import wording

register = template.Library()


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


def _query(request, changes):
    """The page's query with some values changed; None takes a value out."""
    query = request.GET.copy() if request else QueryDict(mutable=True)
    for name, value in changes.items():
        if value is None:
            query.pop(name, None)
        else:
            query[name] = value
    return f"?{query.urlencode()}"
