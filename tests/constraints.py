"""What the database itself refuses: each named constraint of an app, broken once."""

import re
from contextlib import contextmanager

import pytest
from django.apps import apps
from django.db import IntegrityError, connection, models, transaction


def named_in(app):
    """The constraints of an app's models, by name."""
    return {
        constraint.name: constraint
        for model in apps.get_app_config(app).get_models()
        for constraint in model._meta.constraints
    }


def with_words_in(app):
    """The texts that the app gives for its constraints, by name."""
    return {
        name: constraint.get_violation_error_message()
        for name, constraint in named_in(app).items()
        if constraint.violation_error_message != constraint.default_violation_error_message
    }


def changed(record, **values):
    """The record with other values, not saved."""
    for name, value in values.items():
        setattr(record, name, value)
    return record


def again(record):
    """One more record with the same values, not saved."""
    return type(record)(
        **{
            field.attname: getattr(record, field.attname)
            for field in record._meta.concrete_fields
            if not field.primary_key
        }
    )


@contextmanager
def refused_by(constraint, model):
    """The block must fail on this constraint and no other."""
    with pytest.raises(IntegrityError, match=_named(constraint, model)), transaction.atomic():
        yield


def _named(constraint, model):
    # SQLite names the columns of what must be unique, not the rule.
    if isinstance(constraint, models.UniqueConstraint) and connection.vendor == "sqlite":
        columns = [model._meta.get_field(name).column for name in constraint.fields]
        return re.escape(", ".join(f"{model._meta.db_table}.{column}" for column in columns)) + "$"
    return rf"\b{constraint.name}\b"
