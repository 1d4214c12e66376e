"""Each named constraint of a room, broken once: the database refuses it and, if it has words, says them."""

import pytest
from django.core.exceptions import ValidationError

from tests.constraints import named_in, refused_by, with_words_in
from tests.diagnostics.test_models import BROKEN as IN_DIAGNOSTICS
from tests.invoicing.test_models import BROKEN as IN_INVOICING
from tests.shared.broken import BROKEN as IN_SHARED
from tests.shop.test_models import BROKEN as IN_SHOP

pytestmark = pytest.mark.django_db

BROKEN = {"shared": IN_SHARED, "shop": IN_SHOP, "diagnostics": IN_DIAGNOSTICS, "invoicing": IN_INVOICING}
CASES = [(room, name) for room, broken in BROKEN.items() for name in broken]
SAID = [(room, name, words) for room in BROKEN for name, words in with_words_in(room).items()]


@pytest.mark.parametrize("room", BROKEN)
def test_every_constraint_is_broken_once(room):
    assert set(BROKEN[room]) == set(named_in(room))


@pytest.mark.parametrize(("room", "name"), CASES)
def test_the_database_refuses_what_can_never_be(room, name):
    record = BROKEN[room][name]()

    with refused_by(named_in(room)[name], type(record)):
        record.save()


@pytest.mark.parametrize(("room", "name", "words"), SAID)
def test_a_person_is_told_what_is_wrong(room, name, words):
    record = BROKEN[room][name]()

    with pytest.raises(ValidationError) as refused:
        record.validate_constraints()

    assert words in refused.value.messages
