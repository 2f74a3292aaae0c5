"""The mean line against the three open machines. Run from the top folder: python -m studies.mean_line.check_machines

Writes result.csv (every speed line, both sets of losses), left_out.csv and assumed.csv beside itself.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from boostwright.cards.look_up import find_card
from boostwright.components.compressor_lines import SpeedLine, speed_lines
from boostwright.components.compressor_mean_line import compressor_lines_of_wheel, flow_at_pressure_ratio
from boostwright.components.compressor_wheel import (
    FIRST_SET,
    LOSS_SET,
    CompressorWheel,
    LossSet,
    throat_flow,
    wheel_state,
)
from studies.mean_line.machines import MACHINES

HERE = Path(__file__).resolve().parent
SETS = {"first": FIRST_SET, "shipped": LOSS_SET}
ACCEPTED = (0.05, 0.05, 0.04)
"""Choked flow, peak pressure ratio (shares), efficiency."""


@dataclass(frozen=True)
class Row:
    """One speed line: measured and computed."""

    machine: str
    rpm: float
    flow_left: tuple[float, float]
    flow_end: tuple[float, float]
    peak_ratio: tuple[float, float]
    best_efficiency: tuple[float, float]

    def errors(self) -> tuple[float, float, float]:
        """Flow at the right end, peak pressure ratio (shares), best efficiency (points over 100)."""
        flow, ratio, eta = self.flow_end, self.peak_ratio, self.best_efficiency
        return flow[1] / flow[0] - 1.0, ratio[1] / ratio[0] - 1.0, eta[1] - eta[0]


def rows_of(machine: str, constants: LossSet, wheel: CompressorWheel | None = None) -> list[Row]:
    """Every measured line of a machine beside its mean line.

    The right end is compared at equal pressure ratio: the flow at which the computed line has come down to that of
    the last measured point. Where the measured line is choked that is its choked flow.
    """
    wheel = wheel or MACHINES[machine]
    measured = speed_lines(find_card("compressor", machine))
    tip = np.array([line.speed for line in measured]) * 0.5 * wheel.exducer_diameter
    computed = compressor_lines_of_wheel(wheel, tip, constants=constants).lines
    return [_row(machine, m, c) for m, c in zip(measured, computed, strict=True)]


def _row(machine: str, measured: SpeedLine, computed: SpeedLine) -> Row:
    return Row(
        machine,
        measured.speed * 30.0 / np.pi,
        (float(measured.flow[0]), float(computed.flow[0])),
        (float(measured.flow[-1]), flow_at_pressure_ratio(computed, float(measured.pressure_ratio[-1]))),
        (float(measured.pressure_ratio.max()), float(computed.pressure_ratio.max())),
        (float(measured.efficiency.max()), float(computed.efficiency.max())),
    )


def verdict(rows: list[Row]) -> tuple[float, float, float]:
    """Errors by which a machine is judged: right end of the highest line; the largest of all lines for the others."""
    errors = [row.errors() for row in rows]
    return (
        errors[-1][0],
        max((e[1] for e in errors), key=abs),
        max((e[2] for e in errors), key=abs),
    )


def used_by_peaks(machine: str, constants: LossSet) -> float:
    """Mean share of what is accepted that the largest errors of peak ratio and best efficiency use up."""
    errors = verdict(rows_of(machine, constants))
    return float(np.mean([abs(errors[i]) / ACCEPTED[i] for i in (1, 2)]))


def used_by_points(machine: str, constants: LossSet) -> float:
    """The same from all measured points at their own flow: root mean square of ratio and efficiency errors."""
    wheel = MACHINES[machine]
    ratio, efficiency = [], []
    for line in speed_lines(find_card("compressor", machine)):
        flow = np.minimum(line.flow, 0.9995 * throat_flow(wheel, line.speed))
        state = wheel_state(wheel, line.speed, flow, constants=constants)
        ratio.append(state.pressure_ratio / line.pressure_ratio - 1.0)
        efficiency.append(state.efficiency - line.efficiency)
    spread = [float(np.sqrt(np.mean(np.concatenate(e) ** 2))) for e in (ratio, efficiency)]
    return 0.5 * (spread[0] / ACCEPTED[1] + spread[1] / ACCEPTED[2])


def _write(name: str, header: list[str], rows: list[list[str]]) -> None:
    with (HERE / name).open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(header)
        writer.writerows(rows)


def left_out() -> list[list[str]]:
    """Which set the other two machines would choose, by two measures, and how it does on the one left out."""
    table = []
    for measure in (used_by_peaks, used_by_points):
        scores = {s: {m: measure(m, c) for m in MACHINES} for s, c in SETS.items()}
        for machine in MACHINES:
            others = [m for m in MACHINES if m != machine]
            chosen = min(SETS, key=lambda s: sum(scores[s][m] for m in others))
            errors = verdict(rows_of(machine, SETS[chosen]))
            own = [f"{scores[s][machine]:.2f}" for s in SETS]
            words = measure.__name__.removeprefix("used_by_")
            table.append([words, machine, *own, chosen, *(f"{100 * e:.1f}" for e in errors)])
    return table


def assumed() -> list[list[str]]:
    """What the assumed dimensions are worth, on the highest line."""
    table = []
    for machine, wheel in MACHINES.items():
        for words, changed in (
            ("as assumed", wheel),
            (
                "inducer angle 3 degrees less",
                replace(wheel, inducer_blade_angle=wheel.inducer_blade_angle - 0.05236),
            ),
            (
                "inducer angle 3 degrees more",
                replace(wheel, inducer_blade_angle=wheel.inducer_blade_angle + 0.05236),
            ),
            ("clearance doubled", replace(wheel, clearance=2 * wheel.clearance)),
            ("blades 1 mm thicker", replace(wheel, blade_thickness=wheel.blade_thickness + 1e-3)),
        ):
            errors = rows_of(machine, LOSS_SET, changed)[-1].errors()
            table.append([machine, words, *(f"{100 * e:.1f}" for e in errors)])
    return table


def main() -> None:
    """Write the tables."""
    table = []
    for name, constants in SETS.items():
        for machine in MACHINES:
            for row in rows_of(machine, constants):
                numbers = (*row.flow_left, *row.flow_end, *row.peak_ratio, *row.best_efficiency)
                table.append(
                    [name, machine, f"{row.rpm:.0f}", *(f"{n:.4f}" for n in numbers)]
                    + [f"{100 * e:.1f}" for e in row.errors()]
                )
    both = ["measured", "computed"]
    header = ["set", "machine", "rpm"] + [
        f"{q}_{b}" for q in ("flow_left", "flow_end", "peak_ratio", "efficiency") for b in both
    ]
    errors = ["flow_error_pct", "ratio_error_pct", "efficiency_error_points"]
    _write("result.csv", header + errors, table)
    _write(
        "left_out.csv",
        ["judged_by", "machine", *(f"used_{s}" for s in SETS), "set_chosen_by_the_others", *errors],
        left_out(),
    )
    _write("assumed.csv", ["machine", "changed", *errors], assumed())


if __name__ == "__main__":
    main()
