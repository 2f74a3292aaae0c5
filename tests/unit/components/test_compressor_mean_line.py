"""Speed lines of a compressor wheel from its dimensions: trends, limits, refusals."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from boostwright.components.compressor import surface_of_lines
from boostwright.components.compressor_mean_line import check_wheel, compressor_lines_of_wheel
from boostwright.components.compressor_outlet import Outlet, after_wheel
from boostwright.components.compressor_wheel import LOSS_SET, CompressorWheel, throat_flow, wheel_state
from boostwright.errors import FaultyInput

WHEEL = CompressorWheel(
    inducer_hub_diameter=0.013,
    inducer_tip_diameter=0.043,
    exducer_diameter=0.058,
    tip_width=0.004,
    full_blades=6,
    splitter_blades=6,
    inducer_blade_angle=float(np.deg2rad(60.0)),
    backsweep=float(np.deg2rad(38.0)),
    clearance=0.25e-3,
    axial_length=0.022,
    blade_thickness=0.8e-3,
)
SPEED = 2.0 * 400.0 / WHEEL.exducer_diameter


def at(wheel: CompressorWheel, share: float = 0.7) -> tuple[float, float]:
    """Pressure ratio and efficiency at one flow, a share of what the first wheel's throat passes at 400 m/s."""
    state = wheel_state(wheel, SPEED, np.array([share * throat_flow(WHEEL, SPEED)]))
    return float(state.pressure_ratio[0]), float(state.efficiency[0])


def test_losses_and_work_close_the_balance() -> None:
    """Work less every named loss is the head: nothing is lost that has no name."""
    state = wheel_state(WHEEL, SPEED, np.linspace(0.4, 0.75, 6) * throat_flow(WHEEL, SPEED))
    head = 1004.675 * 288.15 * (state.pressure_ratio ** (1.0 / 3.5) - 1.0)
    np.testing.assert_allclose(state.work - sum(state.shares.values()), head, rtol=1e-5)
    assert all(np.all(loss >= 0.0) for loss in state.shares.values())


def test_clearance_costs_ratio_and_efficiency() -> None:
    tight, loose = at(WHEEL), at(replace(WHEEL, clearance=0.5e-3))
    assert loose[0] < tight[0]
    assert 0.01 < tight[1] - loose[1] < 0.07


def test_more_backsweep_gives_less_pressure() -> None:
    assert at(replace(WHEEL, backsweep=float(np.deg2rad(50.0))), 0.6)[0] < at(WHEEL, 0.6)[0]


def test_beyond_a_choked_exit_there_is_no_state() -> None:
    """The exit chokes before the throat: what it cannot pass has no pressure ratio, not one of another branch."""
    flow = np.linspace(0.5, 0.95, 40) * throat_flow(WHEEL, SPEED)
    state = wheel_state(WHEEL, SPEED, flow)
    there = np.isfinite(state.pressure_ratio)
    last = int(np.flatnonzero(there)[-1])
    assert 10 < last < 39
    assert there[: last + 1].all()
    assert not there[last + 1 :].any()
    assert (np.diff(state.pressure_ratio[: last + 1]) < 0.0).all()


@pytest.mark.parametrize("backsweep", [5.0, 20.0, 28.3, 45.0])
def test_no_line_jumps_to_another_branch(backsweep: float) -> None:
    """Wheels whose exit chokes first, of little backsweep too, where a wrong branch would still look efficient."""
    wheel = replace(
        WHEEL, backsweep=float(np.deg2rad(backsweep)), tip_width=0.003, full_blades=6, splitter_blades=7
    )
    for line in compressor_lines_of_wheel(wheel, np.array([180.0, 310.0, 410.0, 510.0])).lines:
        assert np.isfinite(line.pressure_ratio).all()
        assert np.isfinite(line.efficiency).all()
        steps = np.diff(line.pressure_ratio) / (line.pressure_ratio.max() - 1.0)
        assert steps.min() > -0.25


def test_a_larger_inducer_chokes_later() -> None:
    larger = replace(WHEEL, inducer_tip_diameter=0.046)
    assert throat_flow(larger, SPEED) > 1.1 * throat_flow(WHEEL, SPEED)


def test_the_same_wheel_made_small_loses_more() -> None:
    """Clearance and roughness stay, the Reynolds number falls."""
    big = replace(
        WHEEL,
        **{
            key: 4.0 * getattr(WHEEL, key)
            for key in (
                "inducer_hub_diameter", "inducer_tip_diameter", "exducer_diameter",
                "tip_width", "axial_length", "blade_thickness",
            )
        },
    )  # fmt: skip
    state = wheel_state(big, SPEED / 4.0, np.array([0.7 * throat_flow(big, SPEED / 4.0)]))
    assert float(state.efficiency[0]) > at(WHEEL)[1] + 0.03
    lines = compressor_lines_of_wheel(big, np.array([300.0, 400.0]))
    small = compressor_lines_of_wheel(WHEEL, np.array([300.0, 400.0]))
    assert small.efficiency_band > lines.efficiency_band
    assert "small wheel" in small.words


def test_lines_are_lines_the_surface_takes() -> None:
    made = compressor_lines_of_wheel(WHEEL, np.array([200.0, 300.0, 400.0, 500.0]))
    for line in made.lines:
        assert np.all(np.diff(line.flow) > 0.0)
        top = int(np.argmax(line.pressure_ratio))
        assert np.all(np.diff(line.pressure_ratio[top:]) < 0.0)
        assert np.all((line.efficiency > 0.4) & (line.efficiency < 0.95))
        assert line.flow[-1] <= 1.001 * throat_flow(WHEEL, line.speed)
    surface = surface_of_lines(made.lines, 2.0 * 530.0 / 0.058, "test", 0.058)
    assert surface.speed_highest_measured == pytest.approx(2.0 * 500.0 / 0.058)


def test_diffuser_without_walls_keeps_the_free_vortex_and_its_total_pressure() -> None:
    """At a huge Reynolds number and width the march loses next to nothing; narrow, it loses much."""
    flow, hot, pressure, swirl = (np.array([x]) for x in (0.2, 390.0, 230e3, 300.0))
    wide = after_wheel(Outlet(0.029, 1.6, 0.4, 0.4, -1.0), flow * 100.0, hot, pressure, swirl)
    narrow = after_wheel(Outlet(0.029, 1.6, 0.004, 0.004, -1.0), flow, hot, pressure, swirl)
    assert wide[0] == pytest.approx(pressure[0], rel=0.005)
    assert narrow[0] < 0.95 * pressure[0]


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"exducer_diameter": 0.040}, "exducer_diameter"),
        ({"inducer_hub_diameter": 0.044}, "inducer_hub_diameter"),
        ({"full_blades": 0}, "full_blades"),
        ({"clearance": 0.004}, "clearance"),
        ({"backsweep": 38.0}, "backsweep"),
        ({"exducer_diameter": 58.0}, "exducer_diameter"),
        ({"tip_width": float("nan")}, "tip_width"),
    ],
)
def test_impossible_wheels_are_refused_by_name(change: dict[str, float], word: str) -> None:
    wheel = replace(WHEEL, **change)  # type: ignore[arg-type]
    assert any(fault.key == word for fault in check_wheel(wheel))
    with pytest.raises(FaultyInput, match=word):
        compressor_lines_of_wheel(wheel, np.array([300.0]))


def test_a_sound_wheel_has_no_faults() -> None:
    assert check_wheel(WHEEL) == []
    assert LOSS_SET.recirculation == "coppage"
