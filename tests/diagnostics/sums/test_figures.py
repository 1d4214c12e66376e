import pytest

from diagnostics.sums.figures import figure, figures
from diagnostics.sums.tables import between
from diagnostics.sums.temperature import degrees


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (0.32770371, "V", "0.3277 V"),
        (12.0, "V", "12 V"),
        (124.13, "psig", "124.1 psig"),
        (24000.0, "", "24000"),
        (-0.00012345, "A", "−0.0001234 A"),
        (0.0, "V", "0 V"),
        (-0.0, "V", "0 V"),
        (123456, "Ω", "123456 Ω"),
        (1.5e-9, "A", "1.5 × 10⁻⁹ A"),
        (2e15, "Ω", "2 × 10¹⁵ Ω"),
        (float("inf"), "Ω", "no finite number"),
    ],
)
def test_a_figure_has_the_digits_that_mean_something(value, unit, text):
    assert figure(value, unit).replace("\xa0", " ") == text


def test_several_figures_name_their_unit_once():
    assert figures([1.25, 3.0], "mA").replace("\xa0", " ") == "1.25; 3 mA"


@pytest.mark.parametrize(
    ("celsius", "text"),
    [(25, "25.0 °C (77.0 °F)"), (-0.01, "0.0 °C (32.0 °F)"), (-40, "−40.0 °C (−40.0 °F)")],
)
def test_a_temperature_is_told_in_both_scales(celsius, text):
    assert degrees(celsius).replace("\xa0", " ") == text


@pytest.mark.parametrize(("x", "value"), [(-5, 10), (0, 10), (1, 15), (2, 20), (3, 0), (9, -20), (10, -20)])
def test_a_table_is_straight_between_its_points_and_level_outside(x, value):
    assert between(x, ((0, 10), (2, 20), (4, -20))) == pytest.approx(value)
