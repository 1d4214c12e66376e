import pytest

from diagnostics.isolation.wording.clauses import clause_of


@pytest.mark.parametrize(
    ("label", "kind", "said"),
    [
        ("the line comes up", "unplug", "the line comes up"),
        ("It stays dead", "swap", "it stays dead"),
        ("line is alive there", "measure", "line is alive there"),
        ("nothing changes", "wiggle", "nothing changes"),
        ("nothing wrong to see", "inspect", "there is nothing wrong to see"),
        ("no path to ground", "measure", "there is no path to ground"),
        ("a path to ground", "measure", "there is a path to ground"),
        ("blown", "inspect", "it is blown"),
        ("more than 0.2 V lost", "measure", "it reads more than 0.2 V lost"),
        ("gone", "swap", "it is gone"),
    ],
)
def test_a_reading_stands_after_if_as_people_say_it(label, kind, said):
    assert clause_of(label, kind) == said


def test_a_look_without_a_label_looks_so():
    assert clause_of("fine", "inspect", is_labelled=False) == "it looks fine"


@pytest.mark.parametrize(
    ("label", "said"), [("not now", "the answer is not now"), ("yes, it acts", "it acts")]
)
def test_a_question_has_an_answer(label, said):
    assert clause_of(label, "read_out", is_question=True) == said
