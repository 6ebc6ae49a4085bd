"""One exact minute of two heat stores, beside scipy's matrix exponential and integrator."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp  # type: ignore[import-untyped]
from scipy.linalg import expm  # type: ignore[import-untyped]

from simulated_feeds.building.heat import STEP_S, TwoStores

AIR, MASS, INNER, OUTER, LEAK = 1.5e5, 2.2e6, 150.0, 38.0, 14.0


def matrix(leak: float = LEAK) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    """The two balances without heat given: d(air, mass)/dt, with outdoors at 0 °C."""
    return np.array([[-(INNER + leak) / AIR, INNER / AIR], [INNER / MASS, -(INNER + OUTER) / MASS]])


def test_free_decay_is_the_matrix_exponential_over_hours() -> None:
    stores = TwoStores(AIR, MASS, INNER, OUTER)
    air, mass = 20.0, 12.0
    for minute in range(1, 24 * 60 + 1):
        air, mass, _, _ = stores.step((air, mass), 0.0, LEAK, (0.0, 0.0))
        if minute % 240 == 0:
            expected = expm(matrix() * STEP_S * minute) @ [20.0, 12.0]
            assert (air, mass) == pytest.approx(expected, rel=1e-9)


def test_stores_come_to_rest_where_gain_equals_loss() -> None:
    stores = TwoStores(AIR, MASS, INNER, OUTER)
    air, mass = 0.0, 0.0
    for _ in range(60 * 24 * 20):
        air, mass, _, _ = stores.step((air, mass), 5.0, LEAK, (400.0, 0.0))
    # Air loses straight outdoors and through the mass, which are two conductances in series.
    through = LEAK + 1.0 / (1.0 / INNER + 1.0 / OUTER)
    assert air == pytest.approx(5.0 + 400.0 / through, abs=1e-6)
    assert mass == pytest.approx(5.0 + 400.0 / through * INNER / (INNER + OUTER), abs=1e-6)


temperatures = st.floats(-30.0, 40.0)
watts = st.floats(-2_000.0, 20_000.0)


@given(
    start=st.tuples(temperatures, temperatures),
    outdoors=temperatures,
    given_w=st.tuples(watts, watts),
    shed=st.tuples(
        st.floats(1e4, 1e8), st.floats(1e5, 1e10), st.floats(1.0, 1e5), st.floats(1.0, 1e4)
    ),
)
def test_minute_loses_no_heat_however_stiff(
    start: tuple[float, float],
    outdoors: float,
    given_w: tuple[float, float],
    shed: tuple[float, float, float, float],
) -> None:
    air, mass, _, outer = shed
    found = TwoStores(*shed).step(start, outdoors, LEAK, given_w)
    to_air, to_mass, mean_air, mean_mass = found
    stored = air * (to_air - start[0]) + mass * (to_mass - start[1])
    lost = STEP_S * (LEAK * (mean_air - outdoors) + outer * (mean_mass - outdoors))
    moved = abs(stored) + abs(lost) + STEP_S * sum(map(abs, given_w)) + air + mass
    assert stored == pytest.approx(STEP_S * sum(given_w) - lost, abs=1e-8 * moved)


def test_means_are_those_that_scipy_integrates() -> None:
    stores = TwoStores(1e4, 1e5, 2_000.0, 500.0)  # so quick that a minute is long
    found = stores.step((25.0, 3.0), -4.0, LEAK, (900.0, -100.0))
    rates = np.array([[-(2_000.0 + LEAK) / 1e4, 0.2], [0.02, -2_500.0 / 1e5]])
    fed = np.array([(LEAK * -4.0 + 900.0) / 1e4, (500.0 * -4.0 - 100.0) / 1e5])
    run = solve_ivp(
        lambda _, y: rates @ y + fed,
        (0.0, STEP_S),
        [25.0, 3.0],
        rtol=1e-10,
        atol=1e-10,
        dense_output=True,
    )
    assert found[:2] == pytest.approx(run.y[:, -1], abs=1e-7)
    means = np.mean(run.sol((np.arange(20_000) + 0.5) * STEP_S / 20_000), axis=1)
    assert found[2:] == pytest.approx(means, abs=1e-5)
