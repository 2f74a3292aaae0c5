"""Invented logs with sound sensors of many kinds, and with one fault each; nothing here is measured.

The run obeys what the checks lean on (continuity, the second law, the shaft's power), with its own simple laws, and the
instruments are apart from those of the package: rate, polling in turn, lag, scatter, steps, errors within tolerance.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from boostwright.logs.sensor_checks.facts import SensorFacts, SpeedLines
from boostwright.logs.series import ChannelsInMemory, Series

RPM = 2 * np.pi / 60
STEP = 0.02


@dataclass
class Run:
    """Truth on a clock of 50 Hz."""

    time: np.ndarray
    channels: dict[str, np.ndarray]
    facts: SensorFacts


def _lag(x: np.ndarray, up: float, down: float | None = None) -> np.ndarray:
    """First-order lag, with another time constant on the way down."""
    down = up if down is None else down
    a, b = 1 - np.exp(-STEP / max(up, 1e-3)), 1 - np.exp(-STEP / max(down, 1e-3))
    out = np.empty_like(x)
    y = x[0]
    for k, v in enumerate(x.tolist()):
        y += (a if v > y else b) * (v - y)
        out[k] = y
    return out


def _schedule(rng: np.random.Generator, kind: str) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Engine speed [rpm], pedal, gear and in-gear share, by stretches put one behind the other."""
    speed, pedal, gear = [], [], []
    now = 0.0

    def add(seconds: float, to: float, foot: float, g: int) -> None:
        nonlocal now
        n = max(int(seconds / STEP), 2)
        speed.append(np.linspace(now, to, n))
        pedal.append(np.full(n, foot))
        gear.append(np.full(n, g))
        now = to

    def idle(seconds: float) -> None:
        add(0.8, 850, 0.0, 0)
        add(seconds, 850, 0.0, 0)

    if "key-on" in kind:
        add(rng.uniform(4, 15), 0, 0, 0)
        add(1.0, 900, 0, 0)
        idle(rng.uniform(5, 25))
    elif "pulls-only" in kind:
        now = 2500.0
    else:
        now = 850.0
        idle(rng.uniform(4, 20))
    for _ in range(int(rng.integers(2, 5))):
        g = int(rng.integers(2, 5))
        add(rng.uniform(3, 8), rng.uniform(1900, 2600), rng.uniform(0.15, 0.35), g)
        add(rng.uniform(2, 10), rng.uniform(1900, 2900), rng.uniform(0.15, 0.35), g)
        if "steady" in kind:
            add(2.0, 3500, 1.0, g)
            add(rng.uniform(18, 35), 3600, 1.0, g)
        add(rng.uniform(3.5, 11), rng.uniform(5600, 6600), 1.0, g)
        if rng.random() < 0.4:
            add(0.35, now * 0.72, 0.0, g + 1)
            add(rng.uniform(3, 6), min(now * 1.35, 6600), 1.0, g + 1)
        add(rng.uniform(2, 12), rng.uniform(1600, 2400), 0.0, g)
        if rng.random() < 0.4:
            add(1.5, 900, 0.0, 0)
            idle(rng.uniform(3, 20))
    if "stop" in kind:
        idle(6)
        add(0.7, 0, 0, 0)
        add(rng.uniform(5, 12), 0, 0, 0)
    foot = _lag(np.concatenate(pedal), 0.06)
    return np.concatenate(speed), foot, np.concatenate(gear).astype(float), np.concatenate(pedal)


def made_run(seed: int, kind: str = "key-on steady") -> Run:
    """A run; ``kind`` holds any of: key-on, cold, pulls-only, steady, stop, diesel."""
    rng = np.random.default_rng(seed)
    rpm, pedal, gear, foot = _schedule(rng, kind)
    t = np.arange(rpm.size) * STEP
    rpm = _lag(rpm, 0.08)
    air, warm = rng.uniform(80e3, 102.5e3), 273.15 + rng.uniform(-5, 35)
    volume = rng.uniform(1.4e-3, 3.0e-3)
    n, on = rpm * RPM, np.clip(rpm / 500, 0, 1)
    diesel = "diesel" in kind
    most = rng.uniform(45e3, 140e3)
    knee = rng.uniform(2200, 3000)
    want = most * np.clip((rpm - 1400) / (knee - 1400), 0, 1) ** 1.5 * np.clip((pedal - 0.5) / 0.4, 0, 1)
    boost = _lag(want, rng.uniform(0.25, 0.6), 0.2)
    throttle = np.ones_like(pedal) if diesel else 0.015 + 0.985 * pedal
    open_share = np.clip(0.26 + 0.74 * np.clip(throttle / 0.8, 0, 1) ** 0.55, 0, 1)
    bp = air + boost
    im = _lag(np.where(rpm > 200, bp * (1 - (1 - open_share) * np.clip(rpm / 700, 0, 1)), air), 0.05)
    filling = 0.90 + 0.08 * np.sin((rpm - 1500) / 5000 * np.pi) + rng.uniform(-0.04, 0.04)
    t_im_gas = warm + 12 + 0.18 * boost / 1e3
    flow = filling * volume * n / (4 * np.pi) * im / 287.05 / t_im_gas
    full = max(float(flow.max()), 0.05)
    share = (flow / full) ** 2
    im = im - 1.5e3 * share * (throttle > 0.5)
    p2 = bp + rng.uniform(5e3, 11e3) * share
    p1 = air - rng.uniform(1.5e3, 5e3) * share
    p4 = air + rng.uniform(5e3, 22e3) * share
    work = 1007 * 298 * (np.maximum(p2 / p1, 1) ** 0.2857 - 1)
    gas = 773 + 400 * np.clip(im / air - 0.35, 0, 1.0) + 80 * rpm / 6500
    needed = (1 - work / (1.07 * rng.uniform(0.40, 0.52) * 1210 * np.maximum(gas, 900))) ** -4.333
    em = p4 * needed + rng.uniform(5e3, 25e3) * share
    efficiency = rng.uniform(0.62, 0.74)
    t1 = warm + rng.uniform(0, 4)
    rise = t1 * (np.maximum(p2 / p1, 1) ** 0.2857 - 1) / efficiency
    soak = 14 * (1 - np.clip(flow / (0.12 * full), 0, 1)) * on
    cold = "cold" in kind
    body = 273.15 + 88 - warm if not cold else 0.0
    coolant = (
        np.zeros_like(t)
        + warm
        + (body if not cold else 60 * (1 - np.exp(-t / 240)) * np.clip(np.cumsum(on) / on.size * 3, 0, 1))
    )
    standing = 0.0 if cold else 12.0
    out = {
        "engine_speed": n,
        "pedal_position": pedal,
        "throttle_position": throttle if not diesel else np.full_like(pedal, 0.83),
        "vehicle_speed": _lag(
            np.where(gear > 0, rpm / 1000 * (2.1 * np.maximum(gear, 1)) / 3.6 * 1.35, 0.0), 0.8
        ),
        "gear": gear,
        "pressure_amb": np.full_like(t, air),
        "pressure_im": im,
        "pressure_bp_static": bp,
        "pressure_2_static": p2,
        "pressure_1_static": p1,
        "pressure_em_static": np.maximum(em, p4),
        "pressure_4_static": p4,
        "temperature_amb": np.full_like(t, warm),
        "temperature_1": warm + (t1 - warm) * (on if cold else np.ones_like(t)),
        "temperature_2": _lag(t1 + rise + 0.3 * standing * on, rng.uniform(0.8, 5.0)),
        "temperature_bp": _lag(warm + 5 * on + 0.32 * rise, rng.uniform(0.8, 5.0)),
        "temperature_im": _lag(warm + 8 * on + 0.30 * rise + soak + standing * on, rng.uniform(1.5, 8.0)),
        "temperature_coolant": coolant,
        "temperature_oil": coolant + (4 if not cold else 0),
        "mass_flow_air": flow,
        "voltage_battery": np.where(rpm > 300, 13.9, 12.3),
    }
    cut = (foot < 0.02) & (rpm > 1500)
    rich = rng.uniform(0.80, 0.90)
    lam = np.where(pedal > 0.8, rich, 1.0) if not diesel else 1.3 + 1.5 * (1 - pedal)
    lam = np.where(cut, 6.0, lam)
    out["lambda"] = np.minimum(_lag(lam, 0.12), 1.6 if not diesel else 4.0)
    stoichiometric = 14.6
    out["mass_flow_fuel"] = np.where(cut, 0.0, flow / (lam * stoichiometric))
    tau = rng.uniform(0.4, 2.2)
    hot = np.where(rpm > 300, np.where(cut, 620.0, gas), warm + standing * 3)
    for c in range(1, 5):
        out[f"egt_reading_{c}"] = _lag(_lag(hot + (rng.normal(0, 18) if not cold else 0) * on, 0.3, 1.0), tau)
    behind = np.where(rpm > 300, hot - 60 * on - 70 * share, warm + standing * 2)
    out["egt_reading_downpipe"] = _lag(_lag(behind, 0.3, 1.0), tau)
    lines, law = _lines(full)
    out["shaft_speed"] = _lag(law(flow, np.maximum(p2 / p1, 1.001), t1, p1) * on + 200 * on, 0.05)
    facts = SensorFacts(volume, stoichiometric, None, {}, {}, None, lines, not diesel)
    return Run(t, out, facts)


def _lines(full: float) -> tuple[SpeedLines, Callable[..., np.ndarray]]:
    """A made-up map: head with the square of speed, falling with flow; and its inverse."""
    top = 14000.0
    speed, flow, ratio = [], [], []
    for s in np.linspace(0.3, 1.15, 9):
        m = np.linspace(0.25, 1.05, 7) * full * s
        pr = (1 + 0.78 * s**2 * (1.06 - 0.25 * (m / full / s) ** 2)) ** 1.35
        speed.append(np.full(7, s * top))
        flow.append(m)
        ratio.append(pr)

    def law(m: np.ndarray, pr: np.ndarray, t1: float, p1: np.ndarray) -> np.ndarray:
        corrected = m * np.sqrt(t1 / 298.15) * 100e3 / p1
        head = (pr ** (1 / 1.35) - 1) / 0.78
        square = (head + 0.25 * (corrected / full) ** 2) / 1.06
        return np.sqrt(np.maximum(square, 1e-4)) * top * np.sqrt(t1 / 298.15)

    lines = SpeedLines(np.concatenate(speed), np.concatenate(flow), np.concatenate(ratio), 298.15, 100e3)
    return lines, law


NOISE = {
    "engine_speed": 0.6,
    "pressure_amb": 60.0,
    "pressure_em_static": 2.5e3,
    "pressure_4_static": 700.0,
    "pressure_": 500.0,
    "temperature_": 0.25,
    "egt_reading": 1.5,
    "vehicle_speed": 0.05,
    "shaft_speed": 30.0,
    "lambda": 0.006,
    "throttle_position": 0.002,
    "pedal_position": 0.002,
    "voltage_battery": 0.04,
}
_PULSED = ("pressure_em_static", "pressure_4_static")
FINE = {
    "engine_speed": RPM,
    "pressure_": 100.0,
    "temperature_": 0.1,
    "egt_reading": 1.0,
    "vehicle_speed": 0.1 / 3.6,
    "shaft_speed": 10.0,
    "lambda": 0.001,
    "throttle_position": 0.001,
    "pedal_position": 0.001,
    "gear": 1.0,
}
COARSE = {
    **{k: 10 * v for k, v in FINE.items()},
    "pressure_": 1000.0,
    "engine_speed": 10 * RPM,
    "throttle_position": 0.004,
    "temperature_": 1.0,
    "lambda": 0.01,
    "gear": 1.0,
}


def _of(table: dict[str, float], name: str) -> float:
    if name in table:
        return table[name]
    return next((v for k, v in table.items() if name.startswith(k)), 0.0)


@dataclass
class Instruments:
    """How a log is made of a run; ``wrong`` changes a channel's truth or its readings."""

    rate: float = 20.0
    polled: bool = False
    coarse: bool = False
    noise: float = 1.0
    seed: int = 0
    keep: tuple[str, ...] = ()
    leave: tuple[str, ...] = ()
    before: dict[str, Callable[[np.ndarray, Run], np.ndarray]] = field(default_factory=dict)
    after: dict[str, Callable[[np.ndarray, np.ndarray, np.random.Generator], np.ndarray]] = field(
        default_factory=dict
    )
    basis: dict[str, str] = field(default_factory=dict)


def made_log(run: Run, how: Instruments) -> ChannelsInMemory:
    """The log: errors within tolerance, scatter, faults, steps, rows."""
    rng = np.random.default_rng(how.seed + 991)
    names = [n for n in run.channels if (not how.keep or n in how.keep) and n not in how.leave]
    rows = np.arange(0.0, run.time[-1], 1.0 / how.rate)
    series = {}
    for turn, name in enumerate(names):
        truth = run.channels[name]
        if name in how.before:
            truth = how.before[name](truth, run)
        taken = rows
        if how.polled:
            k = np.arange(rows.size)
            taken = rows[np.maximum(k - (k - turn) % len(names), 0)]
        value = np.interp(taken, run.time, truth)
        fresh = np.concatenate([[True], np.diff(taken) != 0])
        scatter = rng.normal(0.0, 1.0, rows.size) * how.noise * _of(NOISE, name)
        if name in ("mass_flow_air", "mass_flow_fuel"):
            scatter = 0.01 * value * rng.normal(0.0, 1.0, rows.size) * how.noise
        if name in _PULSED:  # most of it is pulses, and an engine at rest has none
            scatter = scatter * np.interp(
                taken, run.time, 0.25 + 0.75 * (run.channels["engine_speed"] > 30.0)
            )
        value = _erred(name, value, rng) + scatter
        if name in how.after:
            value = how.after[name](value, taken, rng)
        step = _of(COARSE if how.coarse else FINE, name)
        value = np.round(value / step) * step if step else value
        value = value[np.maximum.accumulate(np.where(fresh, np.arange(rows.size), 0))]
        series[name] = Series(rows, value, how.basis.get(name, ""))
    return ChannelsInMemory(series, "made")


def _erred(name: str, value: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """A sound sensor's own error."""
    if name.startswith("pressure_"):
        gain = 1 + rng.uniform(-0.006, 0.006)
        return 98e3 + (value - 98e3) * gain + rng.uniform(-450, 450)
    if name.startswith("egt_"):
        return 293 + (value - 293) * (1 + rng.uniform(-0.006, 0.006)) + rng.uniform(-1, 1)
    if name.startswith("temperature_"):
        return value + rng.uniform(-1, 1)
    if name in ("mass_flow_air", "mass_flow_fuel"):
        return value * (1 + rng.uniform(-0.03, 0.03))
    if name == "lambda":
        return value * (1 + rng.uniform(-0.01, 0.01))
    return value
