import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import false_discovery_control

from diagnostics.statistics.many import benjamini_hochberg, bonferroni

PS = st.lists(st.floats(0, 1), min_size=1, max_size=30)


@settings(max_examples=50)
@given(PS)
def test_scipy_adjusts_the_same(p):
    assert benjamini_hochberg(p) == pytest.approx(false_discovery_control(p), rel=1e-12)


@settings(max_examples=50)
@given(PS)
def test_adjusted_values_keep_the_order_and_lie_between(p):
    adjusted = benjamini_hochberg(p)

    ranked = sorted(zip(p, adjusted, strict=True))
    assert [later for _, later in ranked] == sorted(adjusted)
    assert all(one * (1 - 1e-15) <= b <= c for one, b, c in zip(p, adjusted, bonferroni(p), strict=True))


@settings(max_examples=50)
@given(PS, st.data())
def test_a_smaller_p_never_raises_another(p, data):
    place = data.draw(st.integers(0, len(p) - 1))
    lower = [value / 2 if at == place else value for at, value in enumerate(p)]

    pairs = zip(benjamini_hochberg(lower), benjamini_hochberg(p), strict=True)
    assert all(new <= old for new, old in pairs)


def test_none_and_nonsense():
    assert benjamini_hochberg([]) == ()
    with pytest.raises(ValueError, match="between 0 and 1"):
        benjamini_hochberg([0.5, 1.2])
