"""What the planner believes, against a library for Bayesian networks that knows nothing of fault finding."""

import random
import warnings

import pytest

from diagnostics.isolation import Done, believe, load
from tests.isolation_proof import walk
from tests.isolation_proof.families import document
from tests.isolation_proof.model import read
from tests.isolation_proof.tiny import tiny

PROBLEMS = [("star", 1), ("groups", 2), ("noisy", 3), ("intermittent", 4)]


def network(problem, steps):
    """The fault as one node, and a node of its own for each reading that hangs on it."""
    with warnings.catch_warnings():
        # The library warns of its own old parts when it is loaded.
        warnings.simplefilter("ignore")
        from pgmpy.factors.discrete import TabularCPD
        from pgmpy.inference import VariableElimination
        from pgmpy.models import DiscreteBayesianNetwork
    model = read(problem)
    tests = {test.id: test for test in model.tests}
    size, faults = len(model.candidates), {"fault": list(model.candidates)}
    tables = [TabularCPD("fault", size, [[prior] for prior in model.prior], state_names=faults)]
    evidence = {}
    for place, (name, outcome) in enumerate(steps):
        test, node = tests[name], f"reading_{place}"
        columns = [[row[number] for row in test.rows] for number in range(len(test.outcomes))]
        states = {node: list(test.outcomes), **faults}
        tables.append(TabularCPD(node, len(columns), columns, ["fault"], [size], state_names=states))
        evidence[node] = outcome
    net = DiscreteBayesianNetwork([("fault", node) for node in evidence])
    net.add_nodes_from(["fault"])
    net.add_cpds(*tables)
    answer = VariableElimination(net).query(["fault"], evidence=evidence, show_progress=False)
    return dict(zip(answer.state_names["fault"], answer.values, strict=True))


# pgmpy (MIT licence), variable elimination.
@pytest.mark.parametrize("problem", [document(*key) for key in PROBLEMS] + [tiny(seed) for seed in (1, 2, 3)])
def test_a_bayesian_network_believes_the_same(problem):
    steps = walk.history_of(problem, random.Random(5), 5)
    belief = believe(load(problem), tuple(Done(*step) for step in steps))

    assert belief.posterior == pytest.approx(network(problem, steps), abs=1e-12)
