import pytest

from diagnostics.comebacks.relation import ADJACENT_SYSTEMS
from diagnostics.snapshot import Cause, Work
from tests.diagnostics.comebacks.visits import complaint, first, later, on, pair


def work(component, reason="cause", kind="replace"):
    return Work("W1", kind, component, reason, on(0))


def level(index, back):
    found = pair(index, back)
    return found.level, found.level_complaint


def test_same_system_and_symptom_is_the_same_complaint():
    assert level(first(), later()) == ("S", "C1")


def test_the_same_symptom_of_another_system_is_not_the_same_complaint():
    assert level(first(), later(complaints=(complaint(system="lighting"),))) == ("N", "")


@pytest.mark.parametrize("kind", ["maintenance", "inspection"])
def test_the_same_complaint_needs_a_symptom_complaint_of_the_index_order(kind):
    assert level(first(complaints=(complaint(kind=kind),)), later()) == ("Y", "C1")


@pytest.mark.parametrize("blank", ["", "  "])
def test_a_blank_symptom_equals_nothing(blank):
    index = first(complaints=(complaint(symptom=blank),))

    assert level(index, later(complaints=(complaint(symptom=blank),))) == ("Y", "C1")


@pytest.mark.parametrize("blank", ["", "  "])
def test_a_blank_system_equals_nothing(blank):
    index = first(complaints=(complaint(system=blank),))

    assert level(index, later(complaints=(complaint(system=blank),))) == ("N", "")


@pytest.mark.parametrize("reason", ["cause", "maintenance", "access", "consequential", "customer_request"])
@pytest.mark.parametrize("kind", ["replace", "repair", "clean", "adjust", "reset"])
def test_work_of_any_kind_and_reason_is_the_same_work(reason, kind):
    back = later(complaints=(complaint(system="lighting"),), causes=(Cause("K1", "C1", "front_harness"),))

    assert level(first(work=(work("front_harness", reason, kind),)), back) == ("W", "C1")


def test_a_component_disturbed_for_access_is_the_same_work():
    back = later(complaints=(complaint(system="lighting", component="front_harness"),))

    assert level(first(disturbed=("front_harness",)), back) == ("W", "C1")


def test_the_located_component_counts_until_a_cause_is_recorded():
    located = complaint(system="lighting", component="front_harness")
    index = first(disturbed=("front_harness",))

    back = later(complaints=(located,), causes=(Cause("K1", "C1", "lamp_holder"),))

    assert level(index, back) == ("N", "")


def test_a_cause_of_another_complaint_leaves_the_located_component():
    located = complaint(system="lighting", component="front_harness")
    back = later(complaints=(located,), causes=(Cause("K1", "C9", "lamp_holder"),))

    assert level(first(disturbed=("front_harness",)), back) == ("W", "C1")


def test_any_cause_of_the_complaint_counts():
    causes = (Cause("K1", "C1", "lamp_holder"), Cause("K2", "C1", "front_harness"))
    back = later(complaints=(complaint(system="lighting"),), causes=causes)

    assert level(first(disturbed=("front_harness",)), back) == ("W", "C1")


def test_a_blank_component_equals_nothing():
    index = first(work=(work(" "),), disturbed=("",))
    back = later(complaints=(complaint(system="lighting", component=" "),))

    assert level(index, back) == ("N", "")


def test_the_same_complaint_is_stronger_than_the_same_work():
    back = later(causes=(Cause("K1", "C1", "thermostat"),))

    assert level(first(work=(work("thermostat"),)), back) == ("S", "C1")


@pytest.mark.parametrize("kind", ["symptom", "maintenance", "inspection"])
def test_another_symptom_of_the_system_is_the_same_system(kind):
    index = first(complaints=(complaint(symptom="leaks", kind=kind),))

    assert level(index, later()) == ("Y", "C1")


def test_a_visit_linked_to_the_repair_is_possibly_related():
    back = later(complaints=(complaint(system=""),), since_repair=True)

    assert level(first(), back) == ("P", "C1")


@pytest.mark.parametrize("kind", ["symptom", "maintenance", "inspection"])
def test_an_adjacent_system_is_possibly_related(kind):
    index = first(complaints=(complaint(kind=kind),))

    assert level(index, later(complaints=(complaint(system="hvac"),))) == ("P", "C1")


def test_adjacent_works_both_ways_and_no_further():
    def between(a, b):
        return level(first(complaints=(complaint(system=a),)), later(complaints=(complaint(system=b),)))[0]

    assert between("hvac", "cooling") == between("cooling", "hvac") == "P"
    assert between("hvac", "engine_mechanical") == "N"


def test_the_policy_names_14_pairs_of_systems():
    assert len(ADJACENT_SYSTEMS) == 14
    assert all(len(systems) == 2 for systems in ADJACENT_SYSTEMS)


def test_the_strongest_complaint_gives_the_level():
    back = later(complaints=(complaint("C1", "hvac"), complaint("C2", "cooling", "leaks"), complaint("C3")))

    assert level(first(), back) == ("S", "C3")


def test_on_a_tie_the_first_complaint_gives_the_level():
    back = later(complaints=(complaint("C1", "hvac"), complaint("C2"), complaint("C3")))

    assert level(first(), back) == ("S", "C2")


@pytest.mark.parametrize("kind", ["maintenance", "inspection"])
def test_only_symptom_complaints_of_the_return_give_a_level(kind):
    back = later(complaints=(complaint(kind=kind),), since_repair=True)

    found = pair(first(), back)

    assert (found.level, found.reason) == ("N", "no_symptom_complaint")
