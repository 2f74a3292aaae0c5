"""Leave one speed line of a measured compressor map out, and see how well the surface finds it again.

Run from the top folder: ``python studies/compressor_interpolation/leave_one_out.py``; writes ``result.csv`` beside it.

A left-out point is compared at its own speed and its own flow (fixed flow). Where a line stands upright that is the
hard way: an error of flow of 0.3 % is one of several per cent of pressure ratio. So the same points are compared a
second time along the throttle line through them (outlet corrected flow held: same valve, same setting), as a rig
would. The fixed-flow figures are the ones that count; the others are reported beside them.
"""

from __future__ import annotations

import csv
from dataclasses import astuple, dataclass, fields
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from boostwright.cards.look_up import find_card
from boostwright.components.compressor import CompressorSurface, SpeedLine, speed_lines, surface_of_lines
from boostwright.solve.kernel.compressor import choke_flow, compressor_states

Array = NDArray[np.float64]
MAPS = ("cc3-vaneless", "hecc-vaneless", "eckardt-o")
ENTHALPY = 1004.675 * 288.15


@dataclass(frozen=True)
class LeftOut:
    """How far the surface without a line is from that line.

    position                    'lowest', 'inner' or 'highest' (extrapolated)
    ratio, rise                 [%] of pressure ratio, and of pressure ratio less one; absolute, at fixed flow
    efficiency                  [points] absolute, at fixed flow
    ratio_rms_of_span           [%] root mean square over the map's span of pressure ratio
    *_along_throttle            the same compared along the throttle line
    """

    map: str
    speed_rpm: float
    position: str
    points: int
    ratio_median: float
    ratio_worst: float
    rise_median: float
    rise_worst: float
    efficiency_median: float
    efficiency_worst: float
    ratio_rms_of_span: float
    efficiency_rms: float
    ratio_worst_along_throttle: float
    flow_worst_along_throttle: float


@dataclass(frozen=True)
class Errors:
    """Signed errors (n,) at fixed flow: ratio and rise in %, efficiency in points."""

    ratio: Array
    rise: Array
    efficiency: Array


def evaluate(surface: CompressorSurface, speed: float, flow: Array) -> tuple[Array, Array]:
    """Pressure ratio and efficiency at one speed [rad/s] and several flows [kg/s]."""
    flow = np.ascontiguousarray(flow, dtype=float)
    ratio, work = compressor_states(surface.table, np.full(flow.size, speed), flow)
    with np.errstate(divide="ignore", invalid="ignore"):
        return ratio, ENTHALPY * (ratio ** (1.0 / 3.5) - 1.0) / work


def surface_without(lines: tuple[SpeedLine, ...], left_out: int) -> CompressorSurface:
    """The surface through all lines but one."""
    rest = [line for i, line in enumerate(lines) if i != left_out]
    return surface_of_lines(rest, rest[-1].speed, "highest line", float("nan"))


def errors_at_fixed_flow(surface: CompressorSurface, line: SpeedLine) -> Errors:
    """Surface less measurement at each point's own flow."""
    ratio, efficiency = evaluate(surface, line.speed, line.flow)
    return Errors(
        100.0 * (ratio / line.pressure_ratio - 1.0),
        100.0 * ((ratio - 1.0) / (line.pressure_ratio - 1.0) - 1.0),
        100.0 * (efficiency - line.efficiency),
    )


def errors_along_throttle(surface: CompressorSurface, line: SpeedLine) -> tuple[float, float]:
    """Worst error [%] of pressure ratio and of flow where the throttle line of a point meets the surface."""
    flow = np.linspace(0.5 * line.flow[0], 1.1 * float(choke_flow(surface.table, line.speed)), 4000)
    ratio, efficiency = evaluate(surface, line.speed, flow)
    keep = ratio > 1.02
    flow, ratio, efficiency = flow[keep], ratio[keep], efficiency[keep]

    def setting(w: Array, pr: Array, eta: Array) -> Array:
        return np.asarray(w * np.sqrt(1.0 + (pr ** (1.0 / 3.5) - 1.0) / eta) / pr)

    along = setting(flow, ratio, efficiency)
    wanted = setting(line.flow, line.pressure_ratio, line.efficiency)
    found_flow = np.interp(wanted, along, flow)
    found_ratio = np.interp(wanted, along, ratio)
    worst_ratio = np.max(np.abs(found_ratio / line.pressure_ratio - 1.0))
    return 100.0 * float(worst_ratio), 100.0 * float(np.max(np.abs(found_flow / line.flow - 1.0)))


def leave_lines_out(name: str) -> tuple[list[LeftOut], list[Errors]]:
    """One result a line of the map called ``name``, with the errors behind it."""
    lines = speed_lines(find_card("compressor", name))
    ratios = np.concatenate([line.pressure_ratio for line in lines])
    span = float(np.ptp(ratios))
    results, behind = [], []
    for i, line in enumerate(lines):
        surface = surface_without(lines, i)
        e = errors_at_fixed_flow(surface, line)
        throttle = errors_along_throttle(surface, line)
        position = "lowest" if i == 0 else "highest" if i == len(lines) - 1 else "inner"
        absolute = [np.abs(part) for part in (e.ratio, e.rise, e.efficiency)]
        spread = e.ratio * line.pressure_ratio / span
        results.append(
            LeftOut(
                name,
                line.speed * 30.0 / np.pi,
                position,
                line.flow.size,
                *(float(f(part)) for part in absolute for f in (np.median, np.max)),
                float(np.sqrt(np.mean(spread**2))),
                float(np.sqrt(np.mean(e.efficiency**2))),
                *throttle,
            )
        )
        behind.append(e)
    return results, behind


def inner_summary(name: str) -> dict[str, float]:
    """Median and worst over the points of all inner lines of a map, and the root mean squares of its span."""
    results, behind = leave_lines_out(name)
    inner = [e for r, e in zip(results, behind, strict=True) if r.position == "inner"]
    ratio = np.abs(np.concatenate([e.ratio for e in inner]))
    efficiency = np.abs(np.concatenate([e.efficiency for e in inner]))
    weights = np.array([r.points for r in results if r.position == "inner"])
    rms = np.array([r.ratio_rms_of_span for r in results if r.position == "inner"])
    return {
        "ratio_median": float(np.median(ratio)),
        "ratio_worst": float(ratio.max()),
        "efficiency_median": float(np.median(efficiency)),
        "efficiency_worst": float(efficiency.max()),
        "ratio_rms_of_span": float(np.sqrt(np.average(rms**2, weights=weights))),
        "efficiency_rms": float(np.sqrt(np.mean(efficiency**2))),
    }


def main() -> None:
    """Print the tables and write result.csv."""
    everything = [result for name in MAPS for result in leave_lines_out(name)[0]]
    target = Path(__file__).with_name("result.csv")
    with target.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file)
        writer.writerow([field.name for field in fields(LeftOut)])
        for result in everything:
            writer.writerow([round(v, 3) if isinstance(v, float) else v for v in astuple(result)])
    print(
        "| map | line, rpm | left out as | PR median / worst, % | (PR - 1) median / worst, % | efficiency, points |"
    )
    print("|---|---|---|---|---|---|")
    for r in everything:
        print(
            f"| {r.map} | {r.speed_rpm:.0f} | {r.position} | {r.ratio_median:.2f} / {r.ratio_worst:.2f} "
            f"| {r.rise_median:.2f} / {r.rise_worst:.2f} | {r.efficiency_median:.2f} / {r.efficiency_worst:.2f} |"
        )
    for name in MAPS:
        s = inner_summary(name)
        print(name, {key: round(value, 2) for key, value in s.items()})


if __name__ == "__main__":
    main()
