"""A build without fault, for tests to break in one place at a time. It is not an example: its numbers stand still."""

from __future__ import annotations

from pathlib import Path

__all__ = ["SOUND", "line_of", "swap", "write_build"]

SOUND = """\
schema_version = 1
name = "Test build"
provenance = "invented for the demo"

[engine]
cylinders = 5
orientation = "longitudinal"
bore = "83 mm"
stroke = "92 mm"
compression_ratio = 9.0
speed_limit = "6800 rpm"

[ambient]
pressure = "101.3 kPa"
pressure_basis = "station"
altitude = "0 m"
temperature = "20 degC"

[fuel]
card = "petrol-ron98"
lambda_target = { speed = [1500, 7000], unit = "rpm", value = [0.95, 0.82] }

[breathing]
volumetric_efficiency = { speed = [1500, 4500, 7000], unit = "rpm", value = [0.82, 0.97, 0.86] }

[intake]
pressure_drop = "2 kPa"
at_mass_flow = "0.20 kg/s"

[compressor]
card = "scaled-cc3-60mm"

[charge_cooler]
kind = "air"
effectiveness = 0.70
pressure_drop = "8 kPa"
at_mass_flow = "0.20 kg/s"

[throttle]
bore = "64 mm"

[exhaust_manifold]
collector_bore = "50 mm"

[turbine]
choked_flow = "0.022 kg/s*sqrt(K)/kPa"
wheel_diameter = "55 mm"

[wastegate]
kind = "poppet"
valve_diameter = "44 mm"
valve_diameter_basis = "valve"
full_lift = "10.5 mm"
diaphragm_diameter = "60 mm"
spring_rating = "0.6 bar gauge"
spring_rating_basis = "bench"
spring_rate = "9 N/mm"
branch_bore = "44 mm"
takeoff_angle = "30 deg"
signal_source = "compressor-outlet"

[boost_control]
target = { speed = [2500, 6500], unit = "rpm", value = [165, 175], value_unit = "kPa", value_basis = "absolute" }

[exhaust]
pressure_drop = "12 kPa"
at_mass_flow = "0.20 kg/s"
at_temperature = "700 degC"
bore = "76 mm"

[prediction]
speeds = { from = "1500 rpm", to = "6750 rpm", step = "250 rpm" }
mode = "target"
"""


def swap(*pairs: tuple[str, str], text: str = SOUND) -> str:
    """The text with each first part, which must stand in it once, replaced by the second."""
    for old, new in pairs:
        assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times"
        text = text.replace(old, new)
    return text


def line_of(text: str, part: str) -> int:
    """The number of the first line that holds ``part``."""
    return text[: text.index(part)].count("\n") + 1


def write_build(folder: Path, text: str | bytes = SOUND) -> Path:
    """A build folder with that build.toml."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "build.toml").write_bytes(text if isinstance(text, bytes) else text.encode("utf-8"))
    return folder
