"""The reason that fault-isolation.md section 10 prints for the two-hub example, hard-fault variant of 13.6.

Its figures of the split and of the price hang on no plan; those of the plan are its own (see the tests of the
planner). Source: fault-isolation.md, read.
"""

from diagnostics.isolation.wording.limits import limit_sentences
from diagnostics.isolation.wording.split import split_sentences
from diagnostics.isolation.wording.terms import terms_of
from tests.isolation_proof.examples import two_hubs, two_hubs_hard_fault


def told(test, document):
    terms = terms_of(document)
    belief = {each["id"]: each["prior"] for each in document["candidates"]}
    return split_sentences(terms, belief, test, terms.price(test, ()))


def test_the_bar_at_hub_b_is_priced_as_printed():
    """11 min to get in, 8 to refit, 2 to do."""
    assert (
        terms_of(two_hubs_hard_fault()).price_words("bar_b_out", ())
        == "11 min to get in, 8 to refit, 2 to do"
    )


def test_the_bar_at_hub_b_splits_as_printed():
    """Cuts 18 suspects to 7 (44 in 100) and to 11."""
    assert told("bar_b_out", two_hubs_hard_fault()) == (
        "Cuts 18 suspects to 7 if it reads alive (44 in 100) and to 11 if it reads dead.",
        "Whichever way it reads, at least 7 of 18 go off the list.",
    )


def test_a_cheap_look_that_seldom_tells_is_excused_as_printed():
    """Nine times in ten you will be no wiser, but it takes one minute: with the bench out already."""
    document = two_hubs()
    terms = terms_of(document)
    belief = {each["id"]: each["prior"] for each in document["candidates"]}
    price = terms.price("look_hub_b", ("bench", "hub_b"))

    assert split_sentences(terms, belief, "look_hub_b", price)[0] == (
        "Nine times in ten you will be no wiser (it looks fine, 16 suspects left), but it takes 1 min."
    )


def test_a_unit_is_told_apart_from_its_wire_as_printed():
    """Unplugging a unit does not clear its wire (section 7): the example has a wire to the rear door unit."""
    document = two_hubs_hard_fault()
    belief = {each["id"]: each["prior"] for each in document["candidates"]}

    (told,) = limit_sentences(terms_of(document), belief, "unplug_U8")

    assert "clears “rear door unit pulls the line down”, but not" in told
    assert "“wire to the rear door unit chafed to ground” stays on the list" in told
