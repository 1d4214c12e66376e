"""A field for a moment that has passed and is only now written down."""

from __future__ import annotations

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone


class PastMomentField(forms.DateTimeField):
    """Day and time on the shop's clock; empty means now, and what is still to come is refused."""

    widget = forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M")
    default_error_messages = {
        "invalid": "This is no day and time. Write it like 2026-03-09 16:50.",
        "future": "%(moment)s is still to come. Write when it was, or leave this empty for now.",
    }

    def __init__(self, **kwargs):
        super().__init__(**{"required": False, **kwargs})

    def clean(self, value):
        moment = super().clean(value)
        if moment and moment > timezone.now():
            shown = f"{timezone.localtime(moment):%d %b %Y %H:%M}"
            raise ValidationError(self.error_messages["future"], code="future", params={"moment": shown})
        return moment
