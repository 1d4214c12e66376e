"""Each suspect simulated under each test reads what the reference note says.

The example document, its rows and the rules are those of fault-isolation.md (sections 7 and 13.6), read.
"""

import pytest

from diagnostics.isolation.circuit import from_dict
from diagnostics.isolation.circuit.physics import simulate


def _row_of(test, id):
    likelihood = test["likelihood"]
    return likelihood.get("by_candidate", {}).get(id) or likelihood["default"]


def test_every_row_of_the_example_comes_out_as_printed(example):
    circuit = from_dict(example["circuit"], example["zones"])

    for test in example["tests"]:
        rows = simulate(circuit, example["candidates"], test["probe"])
        for id, row in rows.items():
            assert list(row) == pytest.approx(_row_of(test, id), abs=1e-12), (test["id"], id)


def test_every_quiet_row_of_the_example_is_the_reading_of_a_sound_circuit(example):
    circuit = from_dict(example["circuit"], example["zones"])
    sound = [{"id": "sound", "kind": "dead", "at": ""}]

    for test in example["tests"]:
        row = simulate(circuit, sound, test["probe"])["sound"]
        assert list(row) == pytest.approx(test["likelihood"]["quiet"], abs=1e-12), test["id"]
