"""Forms: fields, errors, filters."""

from __future__ import annotations

import uuid

from django import template
from django.utils.html import format_html

from shared import sent, wording

register = template.Library()


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
