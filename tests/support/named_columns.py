"""Invented names as strangers write them, each on a column of plausible numbers, and what the mapping makes of it.

The sets lie in ``tests/data/logs/names``. Each was written before the code had seen it and counted as it came
(docs/explain/log-import.md); what it showed was mended after that, so they now hold what was gained. Names and
numbers are invented.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np

from boostwright.logs.mapping.facts import Raw
from boostwright.logs.mapping.names import CHANNELS, channel_of
from boostwright.logs.mapping.proposal import ASKED, Proposal
from boostwright.logs.mapping.propose import propose
from boostwright.units import convert
from tests.support.invented_log import AIR, RPM, signals

__all__ = ["NAMES", "Named", "judged", "read_names", "verdict"]

NAMES = Path(__file__).resolve().parents[1] / "data" / "logs" / "names"


@dataclass(frozen=True)
class Named:
    """One line of a set: name and unit of the header, what the numbers are, and the channels that are right."""

    name: str
    header: str
    source: str
    unit: str
    basis: str
    right: tuple[str, ...]


def read_names(file: Path) -> list[Named]:
    """The lines of a set."""
    found = []
    for line in file.read_text(encoding="utf-8").splitlines():
        if line.strip() and not line.startswith("#"):
            name, header, source, unit, basis, right = (part.strip() for part in line.split("|"))
            found.append(Named(name, header, source, unit, basis, tuple(right.split())))
    return found


@cache
def _data() -> tuple[np.ndarray, dict[str, np.ndarray]]:
    """The invented log and the channels it lacks, in SI."""
    time, data = signals(seconds=60.0, rate=10.0)
    im, flow = data["pressure_im"], data["mass_flow_air"]
    full = data["throttle_position"] > 0.9
    data |= {
        "pressure_1_static": AIR - 3e3 * (flow / flow.max()) ** 2,
        "temperature_1": np.full_like(time, 296.0) + 3 * (flow / flow.max()),
        "pressure_g_static": data["pressure_em_static"] - 1e3,
        "gate_pressure": AIR + 0.7 * data["boost"].clip(0),
        "gate_position": np.where(full, 0.35, 0.0),
        "pressure_im_target": np.where(full, 200e3, 90e3),
        "boost_target": np.where(full, 100e3, 0.0),
        "throttle_target": data["throttle_position"],
        "lambda_target": np.where(full, 0.82, 1.0),
        "air_fuel_ratio_target": np.where(full, 12.0, 14.7),
        "mass_flow_fuel": flow / 13.5,
        "volume_flow_fuel": flow / 13.5 / 745.0,
        "injector_pressure_difference": np.full_like(time, 3e5),
        "fuel_pressure_direct": np.where(full, 18e6, 6e6),
        "temperature_fuel": 303.0 + time / 20.0,
        "temperature_gearbox": 340.0 + time / 6.0,
        "egt_reading_downpipe": data["egt_reading"] - 70.0,
        "vehicle_speed_gps": data["vehicle_speed"],
        "vehicle_speed_roller": data["vehicle_speed"],
        "wheel_speed": data["vehicle_speed"],
        "pressure_crankcase": AIR + 400.0 * np.sin(time),
        "pressure_coolant": AIR + 90e3 * (0.5 + 0.5 * time / time[-1]),
        "power_wheel": data["torque_wheel"] * data["engine_speed"],
        "engine_load": im / AIR * 0.9,
        "humidity": np.full_like(time, 0.55),
        "ethanol_share": np.full_like(time, 0.08),
        "knock_level": 0.4 + 0.3 * data["engine_speed"] / 680.0 + 0.02 * np.sin(9 * time),
        "altitude": 400.0 + 0.3 * time,
        "latitude": np.deg2rad(47.0 + 1e-4 * time),
        "longitude": np.deg2rad(8.0 + 1e-4 * time),
        "knock_retard": np.where(full & (np.sin(time) > 0.97), np.deg2rad(2.0), 0.0),
    }
    return time, data


def numbers_of(line: Named) -> np.ndarray:
    """The column's numbers."""
    values, channel = _data()[1][line.source], channel_of(line.source.removesuffix("_direct"))
    assert channel is not None, line
    kind = channel[0].kind
    if kind in ("", "air_fuel_ratio"):
        return values
    if line.basis == "gauge" and channel[0].basis != "gauge":
        values = values - AIR
    low, high = (float(convert(v, kind, line.unit)) for v in (300.0, 400.0))
    return low + (values - 300.0) * (high - low) / 100.0


def judged(line: Named) -> Proposal:
    """The proposal for one name in a log that has engine speed and throttle beside it."""
    time, data = _data()
    beside = {
        "engine_speed": ("RPM", "rpm", data["engine_speed"] / RPM),
        "throttle_position": ("Throttle position", "%", data["throttle_position"] * 100.0),
    }
    raws = [
        Raw(1, 1, name, unit, "", (), time, values)
        for channel, (name, unit, values) in beside.items()
        if channel not in line.right and name != line.name
    ]
    raws.append(Raw(1, 1, line.name, line.header, "", (), time, numbers_of(line)))
    return propose(raws)[-1]


def verdict(line: Named, proposal: Proposal) -> str:
    """One of right, asked (the right answer among those offered), missed, WRONG.

    A column that is none of ours is right where nothing is taken for it; a question about it can be answered "none".
    """
    if not proposal.taken:
        if "none" in line.right:
            return "asked" if proposal.status == ASKED else "right"
        offered = any(_same(line, choice) for choice in proposal.choices)
        return "asked" if proposal.status == ASKED and offered else "missed"
    return "right" if proposal.choice is not None and _same(line, proposal.choice) else "WRONG"


def _same(line: Named, choice) -> bool:  # type: ignore[no-untyped-def]
    basis = CHANNELS[found[0].name].basis if (found := channel_of(choice.channel)) else ""
    alike = choice.unit == line.unit or not found or found[0].kind in ("", "air_fuel_ratio")
    return choice.channel in line.right and alike and (not basis or choice.basis == line.basis)
