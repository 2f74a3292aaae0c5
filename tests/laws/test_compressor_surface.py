"""What must hold for every compressor surface, measured or made up: finite, smooth, lawful, stable."""

from __future__ import annotations

import functools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_up_compressor import made_up_lines

from boostwright.cards.look_up import find_card
from boostwright.components.compressor import (
    CompressorSurface,
    SpeedLine,
    compressor_surface,
    speed_lines,
    surface_of_lines,
)
from boostwright.solve.kernel.compressor import (
    choke_flow,
    compressor_state,
    compressor_states,
    line_end_flow,
    peak_flow,
    surge_flow,
)

ENTHALPY = 1004.675 * 288.15
MEASURED = ("cc3-vaneless", "hecc-vaneless", "eckardt-o", "scaled-cc3-60mm")
Array = np.ndarray


@functools.cache
def measured(name: str) -> CompressorSurface:
    """Surface of a shipped card."""
    return compressor_surface(find_card("compressor", name))


@functools.cache
def made_up(seed: int) -> CompressorSurface:
    """Surface of an invented machine, with scatter for odd seeds."""
    return of_lines(made_up_lines(seed, 0.01 * (seed % 2)))


def of_lines(lines: tuple[SpeedLine, ...]) -> CompressorSurface:
    return surface_of_lines(lines, lines[-1].speed, "highest line", float("nan"))


def states(surface: CompressorSurface, speed: float | Array, flow: Array) -> tuple[Array, Array, Array]:
    """Pressure ratio, isentropic head, work."""
    flow = np.ascontiguousarray(flow, dtype=float)
    speed = np.ascontiguousarray(np.broadcast_to(speed, flow.shape), dtype=float)
    ratio, work = compressor_states(surface.table, speed, flow)
    return ratio, ENTHALPY * (ratio ** (1.0 / 3.5) - 1.0), work


def field(surface: CompressorSurface, beyond: float = 1.3, flows: float = 2.5) -> tuple[Array, Array]:
    """A net of speeds, from standstill, and flows."""
    top = surface.speed_highest_measured
    speed = np.concatenate([[0.0, 1e-12, 1e-6, 1e-3, 1.0], np.linspace(0.0, beyond * top, 61)])
    flow = np.linspace(0.0, flows * choke_flow(surface.table, top), 301)
    grid = np.meshgrid(speed, flow, indexing="ij")
    return grid[0].ravel(), grid[1].ravel()


def check_lawful(surface: CompressorSurface) -> None:
    """Finite everywhere; never more head than work; efficiency a share wherever pressure rises."""
    speed, flow = field(surface)
    ratio, head, work = states(surface, speed, flow)
    assert np.all(np.isfinite(ratio))
    assert np.all(np.isfinite(work))
    assert np.all(ratio > 0.05)
    assert np.all(work >= head - 1e-9 * ENTHALPY)
    rising = ratio > 1.0 + 1e-9
    efficiency = head[rising] / work[rising]
    assert np.all(efficiency > 0.0)
    assert np.all(efficiency < 1.0)


@pytest.mark.parametrize("name", MEASURED)
def test_measured_surfaces_are_lawful(name: str) -> None:
    check_lawful(measured(name))


@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.integers(0, 100_000))
def test_made_up_surfaces_are_lawful(seed: int) -> None:
    check_lawful(made_up(seed))


@settings(max_examples=40, deadline=None, derandomize=True)
@given(st.integers(0, 100_000), st.floats(0.0, 1.3), st.floats(0.0, 1e6))
def test_any_flow_gives_numbers(seed: int, share: float, flow: float) -> None:
    surface = made_up(seed)
    speed = share * surface.speed_highest_measured
    ratio, work = compressor_state(surface.table, speed, flow)
    assert 0.05 < ratio < 60.0
    assert np.isfinite(work)
    ends = [f(surface.table, speed) for f in (surge_flow, peak_flow, line_end_flow, choke_flow)]
    assert np.all(np.isfinite(ends))
    assert 0.0 <= ends[0] <= ends[1] <= ends[2]
    assert ends[3] >= ends[0]


def check_falling(surface: CompressorSurface) -> None:
    """Strictly falling right of the top of each line; level or gently falling to the left of surge."""
    top = surface.speed_highest_measured
    for speed in np.linspace(0.01, 1.3, 47) * top:
        peak, surge = peak_flow(surface.table, speed), surge_flow(surface.table, speed)
        choke = choke_flow(surface.table, speed)
        if peak < choke:  # else the line stands upright at the flow ceiling before it has fallen
            ratio, _, _ = states(surface, speed, np.linspace(peak, choke, 400))
            # next to its peak a line is level to rounding of the surface's own polynomials (2e-9 a step was seen)
            assert np.all(np.diff(ratio) < 1e-8), speed / top
        ratio, _, _ = states(surface, speed, np.linspace(choke, 2.0 * choke, 400))
        assert np.all(np.diff(ratio) <= 0.0), speed / top
        ratio, _, _ = states(surface, speed, np.linspace(0.0, surge, 100))
        rise = ratio[-1] - 1.0
        assert np.all(np.diff(ratio) > -1e-4 * rise), speed / top
        assert ratio[0] - 1.0 > 0.6 * rise, speed / top


@pytest.mark.parametrize("name", MEASURED)
def test_measured_surfaces_fall_to_the_right(name: str) -> None:
    check_falling(measured(name))


@settings(max_examples=25, deadline=None, derandomize=True)
@given(st.integers(0, 100_000))
def test_made_up_surfaces_fall_to_the_right(seed: int) -> None:
    check_falling(made_up(seed))


@pytest.mark.parametrize("name", MEASURED)
def test_no_swallowing_line_meets_a_speed_line_twice(name: str) -> None:
    # An engine or an orifice swallows flow in proportion to pressure; where a line rises with flow it must do so more
    # gently than that, d ln(ratio)/d ln(flow) < 1, for one crossing only.
    surface = measured(name)
    top = surface.speed_highest_measured
    for speed in np.linspace(0.02, 1.3, 60) * top:
        flow = np.linspace(0.02, 1.2, 1500) * choke_flow(surface.table, speed)
        ratio, _, _ = states(surface, speed, flow)
        assert np.all(np.diff(np.log(ratio)) < 0.9 * np.diff(np.log(flow)))


def one_sided(surface: CompressorSurface, at: tuple[float, float], step: tuple[float, float]) -> Array:
    """Second differences over the step, both outputs: they vanish with the step where slopes agree."""
    (n, w), (dn, dw) = at, step
    speed = np.array([n - dn, n, n + dn])
    flow = np.array([w - dw, w, w + dw])
    ratio, _, work = states(surface, speed, flow)
    jumps = []
    for values in (ratio, work / ENTHALPY):
        jumps.append((values[2] - 2.0 * values[1] + values[0]) / (np.hypot(dn / n, dw / w)))
    return np.abs(jumps)


def check_smooth(surface: CompressorSurface, seed: int) -> None:
    """Slopes do not jump at any seam: rows of the surface, surge, right end, near the ceiling, anywhere."""
    rng = np.random.default_rng(seed)
    table, top = surface.table, surface.speed_highest_measured
    rows = np.sqrt(table[int(table[5]) : int(table[5]) + int(table[0])])[1:]
    for _ in range(60):
        speed = float(rng.choice(rows)) if rng.random() < 0.5 else float(rng.uniform(0.05, 1.3) * top)
        seam = rng.choice([surge_flow(table, speed), line_end_flow(table, speed), choke_flow(table, speed)])
        flow = float(seam) if rng.random() < 0.6 else float(rng.uniform(0.05, 1.1) * choke_flow(table, speed))
        for direction in ((1.0, 0.0), (0.0, 1.0)):
            coarse, fine = (
                one_sided(surface, (speed, flow), (h * direction[0] * speed, h * direction[1] * flow))
                for h in (4e-7, 4e-8)
            )
            # A jump of slope would stay as it is when the step shrinks; curvature alone shrinks with it.
            assert np.all(fine < 0.5 * coarse + 2e-3), (speed / top, flow, direction, coarse, fine)


@pytest.mark.parametrize("name", MEASURED)
def test_measured_surfaces_are_smooth(name: str) -> None:
    check_smooth(measured(name), 1)


@settings(max_examples=25, deadline=None, derandomize=True)
@given(st.integers(0, 100_000))
def test_made_up_surfaces_are_smooth(seed: int) -> None:
    check_smooth(made_up(seed), seed)


def test_a_corner_would_be_seen() -> None:
    # The check above must be able to fail: a surface with one slope spoiled has a seam.
    surface = measured("eckardt-o")
    table = surface.table.copy()
    row = int(table[6]) + 5 * int(table[7])  # width of a row in the middle, its slope left as it is
    table[row + 2] *= 1.05
    table[row + 3] *= -3.0
    spoiled = surface_of_lines(surface.lines, 1.0, "", float("nan"))
    object.__setattr__(spoiled, "table", table)
    check_smooth(spoiled, 1)  # still C1: every row's own slope is shared by both sides
    table[int(table[5]) + 5] *= 1.01  # a row moved without its gap being told
    with pytest.raises(AssertionError):
        check_smooth(spoiled, 1)


@pytest.mark.parametrize("name", MEASURED)
def test_standing_wheel_is_a_restriction(name: str) -> None:
    surface = measured(name)
    flow = np.linspace(0.0, 0.3, 7) * surface.lines[-1].flow[-1]
    ratio, _, work = states(surface, 0.0, flow)
    assert ratio[0] == 1.0
    assert np.all(work == 0.0)
    assert np.all(np.diff(ratio) < 0.0)
    loss = 1.0 - ratio[1:]
    assert loss / flow[1:] ** 2 == pytest.approx(loss[0] / flow[1] ** 2, rel=0.25)  # about square in flow
    # Nothing special on the way to standstill.
    nearly, _, _ = states(surface, 1e-4, flow)
    assert nearly == pytest.approx(ratio, abs=1e-6)


def check_rises_with_speed(surface: CompressorSurface) -> None:
    """From standstill to the lowest line, at fixed flow coefficient, pressure ratio rises with speed."""
    lowest = surface.lines[0]
    speed = np.linspace(1e-3, lowest.speed, 300)
    for per_speed in np.linspace(0.02, 1.0, 40) * lowest.flow[-1] / lowest.speed:
        ratio, head, work = states(surface, speed, per_speed * speed)
        assert np.all(np.diff(ratio) > 0.0)
        efficiency = head[1:] / work[1:]
        assert np.all((efficiency > 0.0) & (efficiency < 1.0))


@pytest.mark.parametrize("name", MEASURED)
def test_measured_surfaces_rise_with_speed_from_standstill(name: str) -> None:
    check_rises_with_speed(measured(name))


@pytest.mark.parametrize("name", MEASURED)
def test_without_the_lowest_line_too(name: str) -> None:
    check_rises_with_speed(of_lines(speed_lines(find_card("compressor", name))[1:]))


@settings(max_examples=25, deadline=None, derandomize=True)
@given(st.integers(0, 100_000))
def test_made_up_surfaces_rise_with_speed_from_standstill(seed: int) -> None:
    check_rises_with_speed(made_up(2 * seed))


@pytest.mark.parametrize("name", MEASURED)
def test_batch_is_the_loop(name: str) -> None:
    surface = measured(name)
    rng = np.random.default_rng(7)
    speed = rng.uniform(0.0, 1.3, 500) * surface.speed_highest_measured
    flow = rng.uniform(0.0, 1.5, 500) * surface.lines[-1].flow[-1]
    ratio, work = compressor_states(surface.table, speed, flow)
    for i in range(500):
        assert compressor_state(surface.table, speed[i], flow[i]) == (ratio[i], work[i])


@pytest.mark.parametrize("name", MEASURED)
def test_padding_of_the_table_changes_nothing(name: str) -> None:
    surface = measured(name)
    padded = np.concatenate([surface.table, np.full(500, np.nan)])
    at = (0.83 * surface.speed_highest_measured, 0.7 * surface.lines[-1].flow[-1])
    assert compressor_state(padded, *at) == compressor_state(surface.table, *at)


@pytest.mark.parametrize(
    ("scaled", "original"),
    [
        ("scaled-cc3-60mm", "cc3-vaneless"),
        ("scaled-hecc-88mm", "hecc-vaneless"),
        ("scaled-eckardt-92mm", "eckardt-o"),
    ],
)
def test_scaled_machine_is_the_same_machine(scaled: str, original: str) -> None:
    small, large = measured(scaled), measured(original)
    scale = small.wheel_diameter / large.wheel_diameter
    speed, flow = field(large, flows=0.98)
    ratio, _, work = states(large, speed, flow)
    again, _, work_again = states(small, speed / scale, flow * scale**2)
    # The cards are written with six digits of flow and a tenth of an rpm.
    assert again == pytest.approx(ratio, rel=3e-3)
    assert work_again == pytest.approx(work, abs=3e-3 * ENTHALPY)
    assert small.speed_limit == pytest.approx(large.speed_limit / scale, rel=3e-3)
