"""An invented log of a turbocharged car and the habits it can be written in, with the truth beside each column.

Nothing here is measured. The signals are smooth made-up curves of plausible size: enough to tell units and bases apart,
no basis for any figure about an engine. All values are in SI.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from boostwright.units import convert

RPM = 2 * np.pi / 60
AIR = 98.6e3


def signals(
    seconds: float = 80.0, rate: float = 20.0, *, key_on: bool = True, idle: bool = True, seed: int = 3
):
    """Channel name -> values in SI, and the time [s]: key on, idle, two pulls with cruising between."""
    rng = np.random.default_rng(seed)
    time = np.arange(0.0, seconds, 1 / rate)
    u = time / seconds
    marks = [0.0, 0.06, 0.07, 0.2, 0.25, 0.40, 0.44, 0.6, 0.64, 0.80, 0.85, 1.0]
    speed = np.interp(
        u, marks, np.array([0, 0, 850, 850, 2400, 6400, 3000, 2600, 2500, 6500, 2500, 900]) * RPM
    )
    pedal = np.interp(
        u,
        [0, 0.2, 0.249, 0.25, 0.4, 0.401, 0.6, 0.639, 0.64, 0.8, 0.801, 1],
        [0, 0, 0.2, 1, 1, 0, 0.2, 0.2, 1, 1, 0, 0],
    )
    full = pedal > 0.9
    boost = np.where(full, 105e3 * np.clip((speed / RPM - 2300) / 1500, 0, 1), 0.0)
    kernel = np.ones(7) / 7
    boost = np.convolve(boost, kernel, mode="same")
    drawn = np.interp(pedal, [0, 0.2, 1], [62e3, 45e3, 1e3])
    im = AIR + boost - np.where(boost > 20e3, 1e3, drawn)
    im = np.where(speed < 1, AIR, im)
    load = im / AIR
    car = speed * 0.062 * np.where(speed < 950 * RPM, 0, 1)
    flow = 2.5e-3 / 2 / (2 * np.pi) * speed * im / 287 / 310 * 0.9
    out = {
        "engine_speed": speed,
        "throttle_position": 0.02 + 0.97 * pedal,
        "pedal_position": pedal,
        "pressure_im": im,
        "pressure_amb": np.full_like(time, AIR) + rng.normal(0, 30, time.size),
        "vehicle_speed": car,
        "temperature_im": 301 + 22 * np.clip(boost / 1e5, 0, 1) + 3 * u,
        "temperature_coolant": 357 + 5 * u + np.sin(30 * u),
        "temperature_oil": 362 + 12 * u,
        "temperature_amb": np.full_like(time, 291.0),
        "temperature_2": 305 + 95 * boost / 1e5,
        "temperature_bp": 303 + 25 * boost / 1e5,
        "lambda": np.where(full, 0.82, 1.0) + rng.normal(0, 0.01, time.size),
        "mass_flow_air": flow,
        "angle_spark": np.deg2rad(32 - 16 * load + rng.normal(0, 0.3, time.size)),
        "injector_duty": np.clip(0.012 + 0.75 * flow / 0.3, 0, 1),
        "injector_time": 2e-3 + 7e-3 * load,
        "solenoid_duty": np.where(full, 0.45, 0.0),
        "pressure_2_static": AIR + boost * 1.08 + 500,
        "pressure_bp_static": AIR + boost * 1.01 + 200,
        "pressure_em_static": AIR + boost * 1.35 + 9e3 * load,
        "pressure_4_static": AIR + 14e3 * (flow / 0.3) ** 2 * 3,
        "pressure_oil": np.where(speed < 1, 0.0, 1.5e5 + 450 * speed),
        "fuel_pressure": np.where(speed < 1, 3.0e5, 3.0e5 + (im - AIR)),
        "voltage_battery": np.where(speed < 1, 12.3, 13.9) + rng.normal(0, 0.05, time.size),
        "shaft_speed": (8000 + 110000 * np.clip(boost / 1e5, 0, 1) ** 0.6) * RPM,
        "knock_retard": np.zeros_like(time),
        "torque": np.where(full, 380.0 * load / 2, 25.0),
        "power": np.where(full, 380.0 * load / 2, 25.0) * speed,
        "air_fuel_ratio": 14.7 * np.where(full, 0.82, 1.0),
        "boost": im - AIR,
        "gear": np.where(car > 1, 3.0, 0.0),
        "egt_reading": 600 + 520 * np.convolve(full, np.ones(40) / 40, mode="same"),
        "torque_wheel": np.where(full, 300.0 * load / 2, 20.0),
        "fuel_trim_short": rng.normal(0, 0.02, time.size),
        "fuel_trim_long": np.full_like(time, 0.03),
    }
    for cylinder in range(1, 6):
        out[f"egt_reading_{cylinder}"] = out["egt_reading"] + 8 * cylinder
    keep = np.ones(time.size, dtype=bool)
    if not key_on:
        keep &= speed > 700 * RPM
    if not idle:
        keep &= full
    return time[keep] - time[keep][0], {name: value[keep] for name, value in out.items()}


@dataclass(frozen=True)
class Truth:
    """What a column is: channel, unit of the table, basis; None for "no channel of ours"."""

    channel: str | None
    unit: str = ""
    basis: str = ""


@dataclass
class Written:
    """Columns as text would hold them: header name, header unit, numbers, and the truth."""

    time: np.ndarray
    names: list[str] = field(default_factory=list)
    units: list[str] = field(default_factory=list)
    values: list[np.ndarray] = field(default_factory=list)
    truth: list[Truth] = field(default_factory=list)

    def add(self, name: str, unit: str, values: np.ndarray, truth: Truth) -> None:
        """One more column."""
        self.names.append(name)
        self.units.append(unit)
        self.values.append(values)
        self.truth.append(truth)


KIND_OF = {
    "engine_speed": "rotational_speed",
    "shaft_speed": "rotational_speed",
    "vehicle_speed": "velocity",
    "mass_flow_air": "mass_flow",
    "angle_spark": "angle",
    "knock_retard": "angle",
    "injector_time": "time",
    "voltage_battery": "voltage",
    "torque": "torque",
    "torque_wheel": "torque",
    "power": "power",
    "boost": "pressure",
    "fuel_pressure": "pressure",
}


def kind_of(channel: str) -> str:
    """Kind of quantity of a channel."""
    base = channel.rstrip("0123456789").rstrip("_") if channel.startswith("egt") else channel
    if base in KIND_OF:
        return KIND_OF[base]
    if base.startswith("pressure"):
        return "pressure"
    if base.startswith(("temperature", "egt")):
        return "temperature"
    return "dimensionless"


def column(values: np.ndarray, channel: str, unit: str, basis: str) -> np.ndarray:
    """SI values as numbers of a unit, gauge where that is said."""
    kind = kind_of(channel)
    if channel in ("air_fuel_ratio", "gear"):
        return values
    if basis == "gauge" and channel not in ("boost",):
        values = values - AIR
    return np.array([convert(float(v), kind, unit) for v in values])


def written(
    habit: dict[str, tuple[str, str, Truth]], time: np.ndarray, data: dict[str, np.ndarray]
) -> Written:
    """The columns of a habit: key = channel of ``signals``, value = header name, header unit, truth."""
    out = Written(time)
    for source, (name, unit, truth) in habit.items():
        source = source.partition("#")[0]
        if truth.channel is None:
            out.add(name, unit, data[source] if source in data else np.zeros(time.size), truth)
            continue
        out.add(name, unit, column(data[source], source, truth.unit, truth.basis), truth)
    return out


def as_text(
    log: Written,
    *,
    separator: str = ",",
    decimal: str = ".",
    header: str = "brackets",
    time_name: str = "Time",
    time_unit: str = "s",
    digits: int = 4,
    end: str = "\n",
    time_text: list[str] | None = None,
) -> str:
    """The log as delimited text.

    header  "brackets" (name [unit]), "round" (name (unit)), "row" (a row of units), "bare" (no units)
    """

    def number(value: float, places: int) -> str:
        text = "" if np.isnan(value) else f"{value:.{places}f}"
        return text.replace(".", decimal)

    def head(name: str, unit: str) -> str:
        if header == "brackets" and unit:
            return f"{name} [{unit}]"
        if header == "round" and unit:
            return f"{name} ({unit})"
        return name

    lines = [
        separator.join(
            [head(time_name, time_unit), *(head(n, u) for n, u in zip(log.names, log.units, strict=True))]
        )
    ]
    if header == "row":
        lines.append(separator.join([time_unit, *log.units]))
    scale = {"s": 1.0, "ms": 1e3, "": 1.0}.get(time_unit, 1.0)
    for row in range(log.time.size):
        stamp = time_text[row] if time_text else number(log.time[row] * scale, 3 if scale == 1 else 0)
        lines.append(separator.join([stamp, *(number(values[row], digits) for values in log.values)]))
    return end.join(lines) + end
