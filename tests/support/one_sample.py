"""One sample of a build the slow way: a build read from text with every shifted number in it, then a plain prediction.

Nothing of the batch is used but the numbers drawn. Only what no text can say (the models' own doubts, and tables that
follow a parabola between their ends) is laid on afterwards, and then by the same words as the page that explains it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from boostwright.build import Build, with_settings
from boostwright.components.cycle_table import COLUMNS, HEADER, TERMS_OF_FOUR
from boostwright.components.fuel_blend import fuel_card
from boostwright.solve.cycle_rows import cycle_fields_of, cycle_rows
from boostwright.solve.problem import Problem, assemble
from boostwright.solve.quantities import quantities_of
from boostwright.solve.residual import residual_course
from boostwright.solve.run import solve
from boostwright.solve.uncertainty.assembling import Assembler
from boostwright.solve.uncertainty.doubts import Doubt
from boostwright.units import unit_names

__all__ = ["build_of_text", "one_sample"]


def build_of_text(build: Build, doubts: Sequence[Doubt], shifts: np.ndarray) -> Build:
    """The build read again with each doubtful value written out in SI."""
    return with_settings(
        build, [_setting(build, d, t) for d, t in zip(doubts, shifts.tolist(), strict=True) if d.key]
    )


def _setting(build: Build, doubt: Doubt, shift: float) -> str:
    section, key = doubt.key or ("", "")
    value = build[section].values[key]
    parameter = value.parameter
    unit = "" if parameter.kind == "dimensionless" else unit_names(parameter.kind)[0]
    basis = parameter.stored_basis if parameter.stored_basis in ("absolute", "gauge", "station") else ""
    if value.curve is not None and not value.curve.is_constant:
        numbers = [v + shift * w for v, w in zip(value.curve.value_points, doubt.widths, strict=True)]
        words = f'speed = {list(value.curve.speed_points)}, unit = "rad/s", value = {numbers}'
        words += f', value_unit = "{unit}"' if unit else ""
        words += f', value_basis = "{basis}"' if value.curve.basis else ""
        return f"{section}.{key}={{ {words} }}"
    number = (value.si or 0.0) + shift * doubt.widths[0]
    return f"{section}.{key}={number!r} {unit} {basis}".strip()


def one_sample(
    maker: Assembler, build: Build, shifts: np.ndarray, filling: object = None
) -> dict[str, np.ndarray]:
    """Quantities (n,) of one sample: ``build`` is that of the sample, read from text.

    maker   whose tables between the ends are taken
    """
    cards = {**maker.cards, "fuel": fuel_card(build)}
    problem = assemble(build, cards, maker.speeds, maker.mode, filling)  # type: ignore[arg-type]
    problem = _with_model_doubts(maker, problem, shifts)
    return quantities_of(build, problem, solve(problem), maker.nominal.compressor.speed_limit)


def _with_model_doubts(maker: Assembler, problem: Problem, shifts: np.ndarray) -> Problem:
    by_name = {d.name: t * d.widths[0] for d, t in zip(maker.doubts, shifts, strict=True) if d.key is None}
    points = problem.points.copy()
    table = replace(problem.cycle, coefficients=maker.cycles.at(shifts[None])[0])
    rows = cycle_rows(table, problem.speeds, problem.mixture)
    terms = len(TERMS_OF_FOUR)
    work, hot = (HEADER + COLUMNS.index(name) * terms for name in ("work_share", "temperature_opening"))
    rows[:, work : work + terms] *= 1.0 + by_name.get("model.cycle_work", 0.0)
    rows[:, hot] += by_name.get("model.cycle_temperature", 0.0)
    for name, values in cycle_fields_of(rows, problem.spark).items():
        points[name] = values
    residual_course(points)
    points["turbine_flow_scale"] *= 1.0 + by_name.get("model.turbine_flow", 0.0)
    points["turbine_efficiency_scale"] *= 1.0 + by_name.get("model.turbine_efficiency", 0.0)
    points["takeoff_loss"] += by_name.get("model.takeoff", 0.0)
    points["trapped_temperature_shift"] += by_name.get("model.knock_temperature", 0.0)
    maps = maker.maps.at(shifts[None]) if maker.maps.columns else problem.maps
    moved = replace(problem, points=points, rows=rows, maps=maps)
    amplitude = np.clip(problem.pulse_amplitude * (1.0 + by_name.get("model.pulses", 0.0)), 0.0, 0.6)
    return moved.with_pulses(amplitude)
