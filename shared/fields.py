"""Model fields for values that a plain column would change: decimals as written, moments."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation

from django import forms
from django.core.exceptions import ValidationError
from django.core.validators import MaxLengthValidator
from django.db import models

from shared.moments import Moment

MOST_DIGITS = 40


class ExactDecimalField(models.CharField):
    """A decimal kept as its digits, so that 12.30 stays 12.30 on every database.

    SQLite keeps a decimal column as a float of 15 digits, and both databases pad or drop
    trailing zeros, which are the resolution of a reading. Sorting by it is not offered.
    """

    def __init__(self, *args, **kwargs):
        kwargs.setdefault("max_length", 64)
        super().__init__(*args, **kwargs)

    def from_db_value(self, value, expression, connection):
        return None if value is None or value == "" else Decimal(value)

    def to_python(self, value):
        if value is None or value == "":
            return None
        try:
            number = value if isinstance(value, Decimal) else Decimal(str(value))
        except InvalidOperation:
            raise ValidationError(
                f"'{value}' is not a number. Write it like 12.31.", code="not_a_number"
            ) from None
        if not number.is_finite():
            raise ValidationError(f"'{value}' is not a finite number.", code="not_finite")
        return number

    def get_prep_value(self, value):
        value = self.to_python(value)
        return None if value is None else str(value)

    def run_validators(self, value):
        """Look at the length of the digits as written, and at the number for everything else."""
        if value in self.empty_values:
            return
        for validator in self.validators:
            validator(str(value) if isinstance(validator, MaxLengthValidator) else value)

    def value_to_string(self, obj):
        value = self.value_from_object(obj)
        return "" if value is None else str(value)

    def formfield(self, **kwargs):
        return models.Field.formfield(self, **{"form_class": forms.DecimalField, **kwargs})


class MomentPair:
    """Reads and writes a date column and an instant column as one `Moment`."""

    def __init__(self, name: str):
        self.on = f"{name}_on"
        self.at = f"{name}_at"

    def __get__(self, instance, owner=None):
        if instance is None:
            return self
        on = getattr(instance, self.on)
        return None if on is None else Moment(on, getattr(instance, self.at))

    def __set__(self, instance, moment):
        setattr(instance, self.on, moment.on if moment else None)
        setattr(instance, self.at, moment.instant if moment else None)


def day(**kwargs):
    """Return the date column of a moment: the shop's calendar date."""
    return models.DateField(**kwargs)


def instant():
    """Return the instant column of a moment: null where only the day is known."""
    return models.DateTimeField(null=True, blank=True)
