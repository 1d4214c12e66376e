"""The figures of a recording as the page says them."""

import pytest

from diagnostics.signals.computed import _percent


@pytest.mark.parametrize(
    ("value", "said"),
    [(3.22e-11, "0 %"), (-4e-12, "0 %"), (0.208, "0.208 %"), (34.44, "34.4 %"), (None, "–")],
)
def test_the_rounding_of_the_sums_is_no_overshoot(value, said):
    assert _percent("overshoot_percent")({"overshoot_percent": value}).replace("\xa0", " ") == said
