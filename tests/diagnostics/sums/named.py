"""Asks a sum by its name, as a script or the page would, and says how it was refused."""

import pytest

from shared.computing import Refused, compute


def refusal(name, **given):
    """Return how the sum refuses these values; not refusing them fails."""
    with pytest.raises(Refused) as refused:
        compute(name, given)
    return refused.value
