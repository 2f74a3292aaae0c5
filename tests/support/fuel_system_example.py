"""A fuel system without fault, for tests to break in one place at a time; its numbers are invented."""

from __future__ import annotations

from sound_build import SOUND

__all__ = ["FUEL_SYSTEM", "SOUND_WITH_FUEL_SYSTEM"]

FUEL_SYSTEM = """
[fuel_system]
injection = "port"
injector_count = 5
injector_flow = "550 cm3/min"
injector_flow_pressure = "300 kPa"
injector_test_liquid = "n-heptane"
dead_time = { voltage = [10, 12, 14], unit = "V", value = [1.6, 1.2, 0.9], value_unit = "ms" }
rail_reference = "manifold"
rail_pressure = "300 kPa gauge"
pump = "electric"
pump_flow = { pressure = [200, 300, 400, 500], unit = "kPa", basis = "gauge", value = [265, 245, 220, 190], \
value_unit = "L/h" }
pump_flow_voltage = "13.5 V"
pump_voltage = "13.0 V"
"""

SOUND_WITH_FUEL_SYSTEM = SOUND.replace("\n[prediction]", f"{FUEL_SYSTEM}\n[prediction]")
