"""The invented family that is shipped is the one that the study makes, and says so."""

from __future__ import annotations

import numpy as np
import pytest

from boostwright.cards.look_up import find_card
from boostwright.components.compressor import compressor_surface
from boostwright.components.turbine import turbine_from_card
from studies.invented_turbos.make_cards import COMPRESSORS, LIBRARY, TURBINES, compressor_card, turbine_card


def _numbers(table: str) -> np.ndarray:
    rows = [line.split(",") for line in table.splitlines()[2:]]
    return np.array([[float(cell) for cell in row] for row in rows])


def _held(kind: str, made: tuple[str, str, str]) -> None:
    """Text to the letter, numbers to 3e-4: the last digits depend on the machine's mathematics library."""
    name, text, table = made
    assert (LIBRARY / kind / f"{name}.toml").read_text(encoding="utf-8") == text
    shipped = (LIBRARY / kind / f"{name}.csv").read_text(encoding="utf-8")
    assert shipped.splitlines()[:2] == table.splitlines()[:2]
    np.testing.assert_allclose(_numbers(shipped), _numbers(table), rtol=3e-4, atol=2e-4)
    assert find_card(kind, name).header.status == "invented for the demo"


@pytest.mark.parametrize("size", COMPRESSORS)
def test_shipped_compressor_is_the_one_that_is_made(size: int) -> None:
    _held("compressor", compressor_card(size))


@pytest.mark.parametrize(("size", "a_r"), TURBINES)
def test_shipped_turbine_is_the_one_that_is_made(size: int, a_r: float) -> None:
    _held("turbine", turbine_card(size, a_r))


@pytest.mark.parametrize("size", COMPRESSORS)
def test_the_solver_can_take_the_compressor(size: int) -> None:
    card = find_card("compressor", f"invented-{size}mm-trim-55")
    assert not card.warnings
    surface = compressor_surface(card)
    assert np.all(np.isfinite(surface.table[: surface.table.size - 8]))
    assert 0.70 < max(line.efficiency.max() for line in surface.lines) < 0.85


@pytest.mark.parametrize(("size", "a_r"), TURBINES)
def test_the_solver_can_take_the_turbine(size: int, a_r: float) -> None:
    """The table the solver reads stays within 1 % of flow and half a point of the lines."""
    table = turbine_from_card(find_card("turbine", f"invented-turbine-{size}mm-{a_r:.2f}"))
    assert table.flow_error < 0.01
    assert table.efficiency_error < 0.005


def test_family_grows_with_its_wheels() -> None:
    flows = [
        compressor_surface(find_card("compressor", f"invented-{s}mm-trim-55")).lines[-1].flow[-1]
        for s in COMPRESSORS
    ]
    assert flows == sorted(flows)
    ratio = flows[-1] / flows[0]
    assert ratio == pytest.approx((67 / 50) ** 2, rel=0.05), "flow goes with the square of the wheel"
