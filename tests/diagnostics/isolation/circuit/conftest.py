import json
from pathlib import Path

import fastjsonschema
import pytest

HERE = Path(__file__).parent


@pytest.fixture(scope="session")
def example():
    """The complete problem printed with the reference note on fault isolation."""
    return json.loads((HERE / "isolation-example.json").read_text(encoding="utf-8"))


@pytest.fixture(scope="session")
def refuse_invalid(schema):
    """A compiled check of the form: raises where a document breaks it."""
    return fastjsonschema.compile(schema)


@pytest.fixture(scope="session")
def schema():
    """The form isolation-problem/1."""
    return json.loads((HERE / "isolation-problem.schema.json").read_text(encoding="utf-8"))
