"""One fault each, with the code and the channel it must be named by; for ``made_logs_c``."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from boostwright.logs.series import ChannelsInMemory
from tests.support.made_logs_c import STEP, Instruments, Run, made_log, made_run

C = 273.15
_KINDS = (
    "key-on cold steady",
    "key-on",
    "steady stop",
    "pulls-only",
    "key-on stop",
    "diesel steady stop",
    "pulls-only steady",
    "",
)


@dataclass(frozen=True)
class Fault:
    """A fault: what is done to the truth (``before``) or to the readings (``after``), and how it must be named."""

    code: str
    channel: str
    kind: str = "key-on"
    before: Callable[[np.ndarray, Run], np.ndarray] | None = None
    after: Callable[[np.ndarray, np.ndarray, np.random.Generator], np.ndarray] | None = None
    swap: tuple[str, str] | None = None
    basis: dict[str, str] = field(default_factory=dict)
    drop: tuple[str, ...] = ()


def _more(by: float) -> Any:
    return lambda v, t, r: v + by


def _times(by: float) -> Any:
    return lambda v, t, r: v * by


def _noise(by: float) -> Any:
    return lambda v, t, r: v + r.normal(0, by, v.size)


def _stuck(at: float) -> Any:
    def act(v: np.ndarray, t: np.ndarray, r: np.random.Generator) -> np.ndarray:
        k = int(np.searchsorted(t, at * t[-1]))
        return np.where(np.arange(v.size) < k, v, v[k])

    return act


def _lost(level: float, count: int = 4, length: float = 0.3) -> Any:
    def act(v: np.ndarray, t: np.ndarray, r: np.random.Generator) -> np.ndarray:
        out = v.copy()
        for start in r.uniform(0.05 * t[-1], 0.95 * t[-1], count):
            out[(t >= start) & (t < start + max(length, 1.5 * (t[1] - t[0])))] = level
        return out

    return act


def _clip(share: float, base: float) -> Any:
    return lambda v, t, r: np.minimum(v, v.max() - share * (v.max() - base))


def _gauge(x: np.ndarray, run: Run) -> np.ndarray:
    return x - run.channels["pressure_amb"]


def _fahrenheit(x: np.ndarray, run: Run) -> np.ndarray:
    return (x - C) * 1.8 + 32 + C


def _slower(tau: float) -> Any:
    def act(x: np.ndarray, run: Run) -> np.ndarray:
        out, y, a = np.empty_like(x), x[0], 1 - np.exp(-STEP / tau)
        for k, v in enumerate(x.tolist()):
            y += a * (v - y)
            out[k] = y
        return out

    return act


def _leak(share: float) -> Any:
    return lambda x, run: run.channels["pressure_amb"] + share * (x - run.channels["pressure_amb"])


_EGTS = ("egt_reading_2", "egt_reading_3", "egt_reading_4")

FAULTS: dict[str, Fault] = {
    "intake pressure 3 kPa high": Fault("offset", "pressure_im", after=_more(3e3)),
    "intake pressure 6 kPa low": Fault("offset", "pressure_im", after=_more(-6e3)),
    "intake pressure 20 kPa low": Fault("offset", "pressure_im", after=_more(-20e3)),
    "barometer 4 kPa high": Fault("offset", "pressure_amb", after=_more(4e3)),
    "downpipe pressure 5 kPa high": Fault("offset", "pressure_4_static", after=_more(5e3)),
    "exhaust pressure 10 kPa high": Fault("offset", "pressure_em_static", after=_more(10e3)),
    "outlet pressure 12 kPa low, no key-on": Fault("offset", "pressure_2_static", "", after=_more(-12e3)),
    "intake pressure by 1.12": Fault("scale", "pressure_im", after=_times(1.12)),
    "intake pressure by 1.12, pulls only": Fault(
        "impossible", "pressure_im", "pulls-only steady", after=_times(1.12)
    ),
    "intake gauge as absolute": Fault("gauge-absolute", "pressure_im", before=_gauge),
    "intake gauge as absolute, pulls only": Fault(
        "gauge-absolute", "pressure_im", "pulls-only steady", before=_gauge
    ),
    "outlet gauge as absolute, no key-on": Fault("gauge-absolute", "pressure_2_static", "", before=_gauge),
    "outlet absolute as gauge": Fault(
        "gauge-absolute", "pressure_2_static", basis={"pressure_2_static": "gauge"}
    ),
    "outlet psi as kPa": Fault("unit", "pressure_2_static", before=lambda x, r: x / 6.894757),
    "outlet degF as degC, cold": Fault("unit", "temperature_2", "key-on cold", before=_fahrenheit),
    "outlet degF as degC": Fault("unit", "temperature_2", "steady", before=_fahrenheit),
    "intake air 8 K high, cold": Fault("offset", "temperature_im", "key-on cold", after=_more(8.0)),
    "amplifier 25 K high, cold": Fault("offset", "egt_reading_2", "key-on cold", after=_more(25.0)),
    "intake pressure stuck": Fault("stuck", "pressure_im", after=_stuck(0.4)),
    "exhaust pressure stuck": Fault("stuck", "pressure_em_static", after=_stuck(0.4)),
    "probe stuck": Fault("stuck", "egt_reading_3", after=_stuck(0.4)),
    "outlet temperature stuck": Fault("stuck", "temperature_2", after=_stuck(0.4)),
    "shaft speed stuck": Fault("stuck", "shaft_speed", after=_stuck(0.4)),
    "air meter stuck": Fault("stuck", "mass_flow_air", after=_stuck(0.4)),
    "engine speed stuck": Fault("stuck", "engine_speed", after=_stuck(0.55)),
    "lambda stuck": Fault("stuck", "lambda", after=_stuck(0.4)),
    "throttle stuck": Fault("stuck", "throttle_position", after=_stuck(0.4)),
    "intake pressure clipped": Fault("clipped", "pressure_im", after=_clip(0.25, 98e3)),
    "exhaust pressure clipped": Fault("clipped", "pressure_em_static", after=_clip(0.3, 98e3)),
    "air meter clipped": Fault("clipped", "mass_flow_air", after=_clip(0.25, 0.0)),
    "probe clipped": Fault("clipped", "egt_reading_1", "steady", after=_clip(0.12, 600.0)),
    "intake pressure noisy": Fault("noisy", "pressure_im", after=_noise(8e3)),
    "probe noisy": Fault("noisy", "egt_reading_1", after=_noise(25.0)),
    "intake air noisy": Fault("noisy", "temperature_im", after=_noise(4.0)),
    "lambda noisy": Fault("noisy", "lambda", after=_noise(0.1)),
    "intake pressure empty now and then": Fault("dropped-out", "pressure_im", after=_lost(np.nan)),
    "intake pressure 0 now and then": Fault("dropped-out", "pressure_im", after=_lost(0.0)),
    "outlet temperature 3276.7": Fault("dropped-out", "temperature_2", after=_lost(3276.7 + C)),
    "intake air -40 degC": Fault("dropped-out", "temperature_im", after=_lost(-40 + C)),
    "engine speed 0 in a pull": Fault("dropped-out", "engine_speed", "pulls-only", after=_lost(0.0, 5)),
    "probe at its rail": Fault("dropped-out", "egt_reading_2", after=_lost(1250 + C)),
    "manifold and outlet": Fault("swapped", "pressure_im", swap=("pressure_im", "pressure_2_static")),
    "manifold and pipe": Fault("swapped", "pressure_im", "", swap=("pressure_im", "pressure_bp_static")),
    "exhaust and downpipe": Fault(
        "swapped", "pressure_4_static", swap=("pressure_em_static", "pressure_4_static")
    ),
    "inlet and outlet": Fault("swapped", "pressure_1_static", swap=("pressure_1_static", "pressure_2_static")),
    "inlet and outlet temperature": Fault(
        "swapped", "temperature_1", "key-on steady", swap=("temperature_1", "temperature_2")
    ),
    "intake air and outlet": Fault(
        "swapped", "temperature_im", "key-on steady", swap=("temperature_im", "temperature_2")
    ),
    "probes before and behind the turbine": Fault(
        "swapped",
        "egt_reading_downpipe",
        "key-on steady",
        swap=("egt_reading_1", "egt_reading_downpipe"),
        drop=_EGTS,
    ),
    "wires exchanged": Fault("reversed-thermocouple", "egt_reading_2", before=lambda x, r: 2 * 308 - x),
    "wires exchanged, amplifier ends at 0 degC": Fault(
        "reversed-thermocouple",
        "egt_reading_2",
        "pulls-only",
        before=lambda x, r: np.maximum(2 * 308 - x, C),
    ),
    "wires touch at the plug": Fault(
        "no-response", "egt_reading_2", before=lambda x, r: 300 + 0.02 * (x - 300)
    ),
    "probe slow": Fault("slow-thermocouple", "egt_reading_2", before=_slower(4.0)),
    "lambda twice": Fault("lambda-range", "lambda", after=_times(2.0)),
    "air meter by 1.6": Fault("routes-apart", "mass_flow_air", after=_times(1.6)),
    "air meter kg/h as g/s": Fault("unit", "mass_flow_air", after=_times(3.6)),
    "9 blades counted as 7": Fault("blade-count", "shaft_speed", before=lambda x, r: x * 9 / 7),
    "6 blades counted as 7": Fault("blade-count", "shaft_speed", "key-on steady", before=lambda x, r: x * 6 / 7),
    "exhaust line leaks": Fault(
        "impossible", "pressure_em_static", "key-on steady", before=_leak(0.1)
    ),
}  # fmt: skip
"""Name -> fault."""


def clean_log(seed: int) -> tuple[ChannelsInMemory, Run, str]:
    """A log with sound sensors; kind, rate, polling, steps, scatter, channels by seed; and a word on it."""
    rng = np.random.default_rng(seed)
    kind = _KINDS[seed % len(_KINDS)]
    run = made_run(seed, kind)
    how = Instruments(
        rate=float(rng.choice([1, 2, 4, 10, 20, 50, 100])),
        polled=bool(rng.random() < 0.25),
        coarse=bool(rng.random() < 0.3),
        noise=float(rng.choice([0.0, 0.3, 1.0, 2.0])),
        seed=seed,
    )
    if rng.random() < 0.3:
        how.leave = tuple(str(x) for x in rng.choice(list(run.channels), size=8, replace=False))
    words = f"seed {seed}: {kind or 'warm'}, {how.rate:g} Hz, {'in turn' if how.polled else 'together'}"
    return made_log(run, how), run, words


def faulty_log(fault: Fault, seed: int) -> tuple[ChannelsInMemory, Run]:
    """A log with one fault, its rate, steps and scatter by seed."""
    rng = np.random.default_rng(seed)
    run = made_run(seed, fault.kind)
    for name in fault.drop:
        run.channels.pop(name)
    if fault.swap:
        a, b = fault.swap
        run.channels[a], run.channels[b] = run.channels[b], run.channels[a]
    how = Instruments(
        rate=float(rng.choice([5, 10, 20, 50])),
        coarse=bool(rng.random() < 0.2),
        noise=float(rng.choice([0.3, 1.0, 1.5])),
        seed=seed,
        before={fault.channel: fault.before} if fault.before else {},
        after={fault.channel: fault.after} if fault.after else {},
        basis=dict(fault.basis),
    )
    return made_log(run, how), run
