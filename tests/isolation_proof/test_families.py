"""The generated problems follow the schema and meet everything that the document can say."""

import json
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from tests.isolation_proof.answers import every_key
from tests.isolation_proof.families import FAMILIES, document
from tests.isolation_proof.large import tree_of_hubs
from tests.isolation_proof.model import read
from tests.isolation_proof.tiny import tiny

SCHEMA = json.loads(Path(__file__).with_name("isolation-problem.schema.json").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def documents():
    return {key: document(*key) for key in every_key()}


def test_there_are_more_than_three_hundred_of_eleven_families(documents):
    assert len(FAMILIES) == 11
    assert len(documents) == 330


def test_documents_follow_the_schema():
    check = Draft202012Validator(SCHEMA)
    some = [document(family, seed) for family in FAMILIES for seed in (1, 2)] + [tiny(1), tiny(2)]

    assert [error.message for one in some for error in check.iter_errors(one)] == []


def test_chances_sum_to_one(documents):
    for key, one in documents.items():
        model = read(one)
        assert sum(model.prior) == pytest.approx(1, abs=1e-9), key
        rows = [row for test in model.tests for row in test.rows]
        assert all(sum(row) == pytest.approx(1, abs=1e-9) for row in rows), key


def test_sizes_are_those_of_a_job(documents):
    candidates = [len(one["candidates"]) for one in documents.values()]
    tests = [len(one["tests"]) for one in documents.values()]

    assert min(candidates) >= 8
    assert max(candidates) <= 15
    assert min(tests) >= 7


def test_each_has_a_catch_all_that_may_be_true(documents):
    for one in documents.values():
        assert [suspect["prior"] > 0 for suspect in one["candidates"] if suspect["kind"] == "catch_all"] == [
            True
        ]


@pytest.mark.parametrize("word", ["after", "max_uses", "provocation", "activity", "group", "inside"])
def test_each_word_of_the_document_is_met(documents, word):
    families = {key[0] for key, one in documents.items() if f'"{word}"' in json.dumps(one)}

    assert families


def test_one_seed_gives_one_document():
    assert document("star", 5) == document("star", 5)
    assert document("star", 5) != document("star", 6)


@pytest.mark.parametrize(("candidates", "tests"), [(18, 20), (60, 80), (200, 400)])
def test_large_problems_are_of_the_size_asked_for(candidates, tests):
    problem = tree_of_hubs(candidates, tests)

    assert (len(problem["candidates"]), len(problem["tests"])) == (candidates, tests)
    assert sum(one["prior"] for one in problem["candidates"]) == pytest.approx(1)


def test_a_large_problem_follows_the_schema_and_is_the_same_each_time():
    problem = tree_of_hubs(18, 20)

    assert Draft202012Validator(SCHEMA).is_valid(problem)
    assert problem == tree_of_hubs(18, 20)
