"""A small prediction with invented numbers, for tests of what is printed; nothing in it comes from a solver.

The numbers are shaped like a real sweep (spool, target, creep, a last point without steady state) so that
pictures made from it can be judged by eye, but no test may take them for physics.
"""

from __future__ import annotations

import math

import glossary
import numpy as np
from numpy.typing import NDArray

from boostwright.solve.operating_point import (
    Choice,
    CompressorMapPicture,
    Flag,
    Limit,
    NoSteadyState,
    Outcome,
    Prediction,
    Remark,
    Solved,
    Values,
)

RPM = 2 * math.pi / 60
ONLY_WHEN_ASKED = {
    "torque_corrected",
    "power_corrected",
    "power_correction_factor",
    "torque_wheel",
    "power_wheel",
    *(name for name in glossary.quantities() if name.startswith("rod_") or name == "torque_rods"),
    "injector_duty",
    "injector_margin",
    "injector_pressure_difference",
    "rail_pressure",
    "volume_flow_fuel",
    "pump_flow",
    "pump_margin",
    "pump_outlet_pressure",
}
Array = NDArray[np.float64]


def made_up_map() -> CompressorMapPicture:
    speed = np.linspace(70000.0, 160000.0, 7) * RPM
    share = (speed / speed[-1])[:, None]
    along = np.linspace(0.0, 1.0, 41)[None, :]
    flow = share**1.1 * (0.075 + 0.2 * along * (1.1 - 0.25 * share))
    ratio = 1 + 1.9 * share**2 * (1 - 0.6 * along**2.5)
    efficiency = 0.78 - 0.5 * (along - 0.5) ** 2 - 0.5 * (share - 0.85) ** 2
    return CompressorMapPicture(
        speeds_corrected=speed,
        flow=flow,
        pressure_ratio=ratio,
        efficiency=efficiency,
        surge_flow=flow[:, 0],
        surge_pressure_ratio=ratio[:, 0],
        measured_flow=flow[:, ::10].ravel(),
        measured_pressure_ratio=ratio[:, ::10].ravel(),
        measured_efficiency=efficiency[:, ::10].ravel(),
        measured_speed=np.repeat(speed, 5),
        reference="101.325 kPa and 288.15 K, totals",
        reference_pressure=101325.0,
        reference_temperature=288.15,
        name="invented-machine",
    )


def _quantities(rpm: Array, holes: NDArray[np.bool_]) -> dict[str, Values]:
    boost = 80e3 * np.tanh(((rpm - 1200) / 1500).clip(0)) + 8e3 * ((rpm - 5000) / 1500).clip(0)
    ambient = 95e3
    torque = 160.0 + 2.1e-3 * boost * (1 - ((rpm - 4200) / 9000) ** 2)
    air = torque * rpm * RPM * 0.95e-6
    drive = 0.8 + 0.45 * (rpm / 6500) ** 2
    columns: list[tuple[str, str, Array | float]] = [
        ("engine_speed", "rad/s", rpm * RPM),
        ("torque", "Nm", torque),
        ("power", "W", torque * rpm * RPM),
        ("bmep", "Pa", torque * 4 * math.pi / 0.0025),
        ("boost", "Pa", boost),
        ("lambda", "", 0.88),
        ("mass_flow_air", "kg/s", air),
        ("corrected_flow", "kg/s", air * 1.05),
        ("corrected_speed", "rad/s", (60000 + 13 * rpm) * RPM),
        ("compressor_pressure_ratio", "", (ambient + boost) / ambient * 1.08),
        ("shaft_speed", "rad/s", (60000 + 13 * rpm) * RPM),
        ("surge_margin", "", 0.1 + 0.3 * (rpm / 6500)),
        ("choke_margin", "", 0.7 - 0.5 * (rpm / 6500)),
        ("speed_margin", "", 0.6 - 0.5 * (rpm / 6500)),
        ("pressure_amb", "Pa", ambient),
        ("temperature_amb", "K", 288.15),
        ("pressure_im", "Pa", ambient + boost),
        ("pressure_em", "Pa", (ambient + boost) * drive),
        ("pressure_4", "Pa", ambient + 9e3 * (rpm / 6500) ** 2),
        ("drive_pressure_ratio", "", drive),
        ("egt_reading", "K", 1000 + 0.03 * rpm),
        ("temperature_em", "K", 1060 + 0.03 * rpm),
        ("gate_lift", "m", 10e-3 * ((rpm - 3000) / 2500).clip(0, 1)),
        ("gate_flow_share", "", 0.35 * ((rpm - 3000) / 2500).clip(0, 1)),
        ("bsfc", "kg/J", 280e-3 / 3.6e6),
    ]
    columns += [
        (entry.name, entry.unit.replace("1", ""), 1.0)
        for entry in glossary.quantities().values()
        if entry.name not in {name for name, _, _ in columns} and entry.name not in ONLY_WHEN_ASKED
    ]
    basis = {"surge_margin": "1 - surge flow / flow, at the same corrected shaft speed"}
    return {
        name: Values(
            name,
            unit,
            np.where(
                holes & (name not in ("engine_speed", "pressure_amb", "temperature_amb")),
                np.nan,
                np.broadcast_to(values, rpm.shape),
            ),
            name.replace("_", " "),
            basis.get(name, ""),
        )
        for name, unit, values in columns
    }


def made_up_prediction(*, unsolved: tuple[int, ...] = (20,), with_map: bool = True) -> Prediction:
    """21 points from 1500 to 6500 rpm; the points in ``unsolved`` have no steady state."""
    rpm = np.arange(1500.0, 6501.0, 250.0)
    count = len(rpm)
    holes = np.isin(np.arange(count), unsolved)
    message = "The gate is wide open and boost still climbs."
    outcomes: tuple[Outcome, ...] = tuple(
        NoSteadyState("runs-away", "compressor speed limit 152 000 rpm", message)
        if holes[i]
        else Solved(1e-11)
        for i in range(count)
    )
    low = Flag(
        "outside-map-low-speed", "Shaft speed 48 200 rpm is below the lowest measured line, 70 000 rpm."
    )
    over = Flag("limit-torque-cap", "Torque 331 Nm is above the limit of 320 Nm.", "limit")
    quantities = _quantities(rpm, holes)
    return Prediction(
        name="made-up estate",
        mode="target",
        speeds=rpm * RPM,
        quantities=quantities,
        outcomes=outcomes,
        binding_limit=tuple(
            "spool" if i < 6 else "boost-target" if i < 15 else "torque-cap" if i < 17 else "creep-floor"
            for i in range(count)
        ),
        flags=tuple((low,) if i < 3 else (over,) if 15 <= i < 17 else () for i in range(count)),
        limits=(
            Limit(
                "torque-cap",
                "torque",
                "Nm",
                np.full(count, 320.0),
                quantities["torque"].values / 320.0,
                "the build",
                "torque",
            ),
        ),
        remarks=(
            Remark(
                "threshold",
                "boost reaches 30 kPa gauge at 2 180 rpm or later: a lower bound",
                228.3,
                "rad/s",
            ),
            Remark("gate-knee", "The valve reaches full lift at 5 500 rpm.", 576.0, "rad/s"),
            Remark(
                "rule-of-thumb-drive",
                "Drive-pressure ratio up to 1.3 to 1.5 is accepted.",
                status="common practice",
            ),
        ),
        choices=(
            Choice("compressor", "invented-machine", "cards/invented.toml", "invented for the demo", "none"),
        ),
        gases={"intake_air": {"N2": np.full(count, 0.78)}, "exhaust": {"CO2": np.full(count, 0.12)}},
        settings=("wastegate.spring_rating=0.8 bar gauge",),
        defaults_used=(
            ("shaft.mechanical_efficiency", "0.95", "own estimate"),
            ("probe.diameter", "3 mm", "own estimate"),
        ),
        warnings=("build.toml, line 7, turbine.a_r = 0.82: an A/R is no area.",),
        cautions=("A prediction is no proof that an engine will survive.",),
        compressor_map=made_up_map() if with_map else None,
        constants={
            "displacement": Values("displacement", "m3", np.array([0.0025]), "swept volume of all cylinders")
        },
    )
