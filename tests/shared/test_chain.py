import pytest

from shared import chain


def links(*states):
    return [{"name": f"link {number}", "state": state} for number, state in enumerate(states)]


def test_a_ring_below_an_open_one_is_loose():
    assert [ring.loose for ring in chain.rings(links("joined", "open", "joined", "joined"))] == [
        False,
        False,
        True,
        False,
    ]


def test_a_ring_after_one_not_reached_is_loose():
    assert chain.rings(links("joined", "ahead", "ahead"))[2].loose


def test_the_ends_of_the_chain_are_marked():
    placed = chain.rings(links("joined", "joined", "joined"))

    assert [(ring.first, ring.last) for ring in placed] == [(True, False), (False, False), (False, True)]


def test_a_ring_without_a_word_takes_the_plain_word_of_its_state():
    assert chain.rings(links("ahead"))[0].word == "not reached"


def test_an_unknown_state_is_refused():
    with pytest.raises(ValueError, match="no state of a link"):
        chain.rings(links("green"))


def test_objects_are_taken_as_well_as_mappings():
    assert chain.rings([chain.Ring(name="seen", state="open")])[0].name == "Seen"


@pytest.mark.parametrize(
    ("states", "sentence"),
    [
        (("joined", "joined"), "Every link is joined"),
        (("joined", "explained"), "Every link holds, link 1 explained"),
        (("open", "joined", "open"), "Open at link 0 and at link 2"),
        (("joined", "joined", "ahead"), "Joined as far as link 1"),
        (("ahead", "ahead"), "Nothing recorded yet"),
        ((), "Nothing recorded yet"),
    ],
)
def test_the_chain_says_itself_in_one_sentence(states, sentence):
    assert chain.said(links(*states)) == sentence
