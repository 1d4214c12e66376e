import copy

import pytest

from diagnostics.isolation import ProblemError, load
from tests.isolation_proof import examples
from tests.isolation_proof.families import document


def faults(document):
    with pytest.raises(ProblemError) as error:
        load(document)
    return error.value.faults


def spoil(change):
    spoilt = copy.deepcopy(document("fitted", 1))
    change(spoilt)
    return faults(spoilt)


# What the schema cannot say: fault-isolation.md, section 14.
@pytest.mark.parametrize(
    ("change", "where", "told"),
    [
        (lambda d: d["tests"][0].update(zones=["attic"]), "tests[0].zones", "no zone 'attic'"),
        (lambda d: d["tests"][1].update(after=["dream"]), "tests[1].after", "no test 'dream'"),
        (lambda d: d["zones"][1].update(inside="attic"), "zones[1].inside", "no zone 'attic'"),
        (lambda d: d["zones"][0].update(inside="panel"), "zones[0].inside", "leads back to itself"),
        (lambda d: d["tests"][0].update(after=[d["tests"][0]["id"]]), "tests[0].after", "leads back"),
        (lambda d: d["candidates"][0].update(prior=0.9), "candidates", "must sum to 1"),
        (lambda d: d["candidates"][1].update(id="trunk_open"), "candidates", "stands here twice"),
        (lambda d: d["candidates"][0].update(members=["a", "fuse"]), "candidates[0].members", "no candidate"),
        (
            lambda d: d["tests"][0]["likelihood"].update(default=[0.5, 0.4]),
            "tests[0].likelihood.default",
            "0.9",
        ),
        (lambda d: d["tests"][0]["likelihood"].update(quiet=[1]), "tests[0].likelihood.quiet", "1 entries"),
        (lambda d: d["tests"][0]["likelihood"].pop("default"), "tests[0].likelihood", "'default' row"),
        (lambda d: d["tests"][0].update(minutes=0), "tests[0].minutes", "above 0"),
        (lambda d: d["tests"][0].update(minutes=float("nan")), "tests[0].minutes", "must be a number"),
        (lambda d: d.update(format="isolation-problem/2"), "format", "isolation-problem/1"),
        (lambda d: d.pop("stop"), "stop", "wrong call"),
        (lambda d: d.update(tests=[]), "tests", "at least 1"),
    ],
)
def test_a_fault_is_named_with_its_place(change, where, told):
    found = spoil(change)

    assert where in {fault.where for fault in found}
    assert any(told in fault.message for fault in found if fault.where == where)


def test_a_suspect_that_comes_and_goes_needs_the_quiet_row():
    def change(d):
        d["candidates"][0]["activity"] = 0.5
        del d["tests"][0]["likelihood"]["quiet"]

    assert "give the 'quiet' row" in spoil(change)[0].message


def test_provocation_to_the_full_needs_no_quiet_row():
    whole = copy.deepcopy(document("fitted", 1))
    whole["candidates"][0]["activity"] = 0.5
    for test in whole["tests"]:
        test["provocation"] = 1
        del test["likelihood"]["quiet"]

    assert load(whole).likelihood.sum(axis=0) == pytest.approx(1)


def test_every_fault_is_named_at_once():
    def change(d):
        d["tests"][0]["zones"] = ["attic"]
        d["tests"][1]["zones"] = ["cellar"]

    assert len(spoil(change)) == 2


def test_the_example_is_read():
    problem = load(examples.two_hubs())

    assert (len(problem.candidates), len(problem.tests)) == (18, 20)
