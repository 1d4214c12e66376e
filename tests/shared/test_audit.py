import pytest
from django.core.exceptions import ValidationError

from shared import audit
from tests.factories import CustomerFactory, OwnerFactory

pytestmark = pytest.mark.django_db


def test_an_entry_says_who_and_what():
    owner, customer = OwnerFactory(), CustomerFactory()

    entry = audit.record("change", customer, by=owner, before={"name": "A"}, after={"name": "B"})

    assert (entry.actor, entry.actor_name, entry.record, entry.record_id) == (
        owner,
        owner.signs_as,
        "shop.Customer",
        str(customer.pk),
    )


def test_an_entry_is_never_changed():
    entry = audit.record("add", CustomerFactory(), by="import")

    with pytest.raises(ValidationError, match="never changed"):
        entry.save()


def test_an_entry_is_never_deleted():
    entry = audit.record("add", CustomerFactory(), by="import")

    with pytest.raises(ValidationError, match="never deleted"):
        entry.delete()


def test_only_what_differs_is_kept():
    assert audit.difference({"a": 1, "b": 2}, {"a": 1, "b": 3}) == ({"b": 2}, {"b": 3})
