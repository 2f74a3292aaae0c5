"""Ordinary builds drawn at random: an engine of 1.0 to 3.5 litres with a turbocharger sized for it, or none used."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from boostwright.build import Build, read_build

__all__ = ["Ordinary", "ordinary_builds", "read_ordinary"]

CARDS = (
    ("invented-50mm-trim-55", 50.0, 0.16),
    ("invented-58mm-trim-55", 58.0, 0.21),
    ("invented-67mm-trim-55", 67.0, 0.29),
)
"""Name, wheel [mm] and about the flow [kg/s] that each is good for at a pressure ratio of 2."""
SMALL = ("scaled-cc3-45mm", 45.0, 0.06)
FUELS = ("petrol-ron95", "petrol-ron98", "e85")
TEXT = """\
schema_version = 1
name = "Ordinary"
provenance = "invented for the demo"
[engine]
cylinders = {cylinders}
orientation = "longitudinal"
bore = "{bore:.2f} mm"
stroke = "{stroke:.2f} mm"
compression_ratio = {compression_ratio:.2f}
speed_limit = "7000 rpm"
[ambient]
pressure = "101.3 kPa"
pressure_basis = "station"
altitude = "0 m"
temperature = "20 degC"
[fuel]
card = "{fuel}"
lambda_target = {lambda_value:.3f}
[breathing]
volumetric_efficiency = {{ speed = [1500, 2500, 4500, 7000], unit = "rpm", value = [0.82, 0.88, {filling:.3f}, 0.84] }}
[intake]
pressure_drop = "2 kPa"
at_mass_flow = "{flow:.4f} kg/s"
[compressor]
card = "{card}"
count = {count}
[charge_cooler]
kind = "air"
effectiveness = {effectiveness:.2f}
pressure_drop = "8 kPa"
at_mass_flow = "{flow:.4f} kg/s"
[throttle]
bore = "{throttle:.1f} mm"
[exhaust_manifold]
collector_bore = "{collector:.1f} mm"
[turbine]
count = {count}
choked_flow = "{choked:.5f} kg/s*sqrt(K)/kPa"
wheel_diameter = "{wheel:.1f} mm"
[wastegate]
kind = "poppet"
valve_diameter = "{gate:.1f} mm"
valve_diameter_basis = "valve"
full_lift = "{lift:.1f} mm"
diaphragm_diameter = "{diaphragm:.1f} mm"
spring_rating = "{spring:.3f} bar gauge"
spring_rating_basis = "bench"
spring_rate = "9 N/mm"
branch_bore = "{gate:.1f} mm"
takeoff_angle = "30 deg"
signal_source = "compressor-outlet"
[boost_control]
target = "{boost:.3f} bar gauge"
[exhaust]
pressure_drop = "12 kPa"
at_mass_flow = "{flow:.4f} kg/s"
at_temperature = "700 degC"
bore = "{exhaust:.1f} mm"
[prediction]
speeds = {{ from = "1500 rpm", to = "7000 rpm", step = "500 rpm" }}
mode = "{mode}"
"""


@dataclass(frozen=True)
class Ordinary:
    """A build: its file, and what was drawn for it."""

    text: str
    mode: str
    fuel: str
    values: dict[str, float]


def _turbo(flow: float) -> tuple[str, float, int]:
    """Card, wheel [mm] and count of compressors for an engine that takes this flow [kg/s] at 5500 rpm."""
    count = 1 if flow <= CARDS[-1][2] else 2
    each = flow / count
    name, wheel, _ = next((card for card in (SMALL, *CARDS) if each <= card[2]), CARDS[-1])
    return name, wheel, count


def _one(draw: np.random.Generator) -> Ordinary:
    litres = draw.uniform(1.0, 3.5)
    cylinders = 3 if litres < 1.3 else 4 if litres < 2.2 else int(draw.choice([4, 5])) if litres < 2.6 else 6
    stroke_to_bore = draw.uniform(0.9, 1.2)
    bore = (litres * 1e6 / cylinders * 4.0 / math.pi / stroke_to_bore) ** (1.0 / 3.0)
    ratio, lam, filling = draw.uniform(8.0, 11.0), draw.uniform(0.78, 1.0), draw.uniform(0.90, 1.0)
    boosted = bool(draw.random() < 0.7)
    boost = draw.uniform(0.3, 1.5)
    fuel = str(draw.choice(FUELS))
    manifold = 1.013 + boost
    flow = 0.93 * manifold * 1e5 / (287.0 * 315.0) * litres * 1e-3 * 5500.0 / 120.0
    card, wheel, count = _turbo(flow)
    size = math.sqrt(flow / 0.2)
    values = {
        "litres": litres,
        "compression_ratio": ratio,
        "lambda_value": lam,
        "boost": boost if boosted else 0.0,
        "filling": filling,
        "effectiveness": draw.uniform(0.55, 0.8),
    }
    text = TEXT.format(
        cylinders=cylinders,
        bore=bore,
        stroke=bore * stroke_to_bore,
        fuel=fuel,
        flow=flow,
        card=card,
        count=count,
        throttle=64.0 * size,
        collector=50.0 * size,
        exhaust=76.0 * size,
        choked=0.72 * 1.08 * flow / count * math.sqrt(1150.0) / (110.0 * manifold),
        wheel=0.95 * wheel,
        gate=46.0 * size,
        lift=11.0 * size,
        diaphragm=62.0 * size,
        spring=0.6 * boost,
        mode="target" if boosted else "no-turbo",
        **{**values, "boost": boost},
    )
    return Ordinary(text, "target" if boosted else "no-turbo", fuel, values)


def ordinary_builds(count: int, seed: int) -> Iterator[Ordinary]:
    """Always the same ``count`` builds of a seed."""
    draw = np.random.default_rng(seed)
    for _ in range(count):
        yield _one(draw)


def read_ordinary(ordinary: Ordinary, folder: Path) -> Build:
    """The build, read as any other from a folder that is there."""
    (folder / "build.toml").write_text(ordinary.text, encoding="utf-8")
    return read_build(folder)
