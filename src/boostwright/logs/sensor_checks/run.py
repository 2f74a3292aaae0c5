"""All checks in their order, and one list of what they found: each cause once, most certain first."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from boostwright.logs.sensor_checks.air_flow import check_air_flow
from boostwright.logs.sensor_checks.at_rest import check_at_rest
from boostwright.logs.sensor_checks.blade_count import check_blades
from boostwright.logs.sensor_checks.car_speed import check_car_speed
from boostwright.logs.sensor_checks.certainty import LEAST
from boostwright.logs.sensor_checks.charge_temperatures import check_charge_temperatures
from boostwright.logs.sensor_checks.clipped import check_clipped
from boostwright.logs.sensor_checks.cold import check_cold
from boostwright.logs.sensor_checks.dropouts import check_dropouts
from boostwright.logs.sensor_checks.exchanged_probes import check_exchanged_probes
from boostwright.logs.sensor_checks.facts import SensorFacts
from boostwright.logs.sensor_checks.fuel_rail import check_fuel_rail
from boostwright.logs.sensor_checks.gear_ratio import check_gear_ratio
from boostwright.logs.sensor_checks.lambda_at_idle import check_air_drawn_in
from boostwright.logs.sensor_checks.lambda_range import check_lambda
from boostwright.logs.sensor_checks.noisy import check_noisy
from boostwright.logs.sensor_checks.oil import check_oil
from boostwright.logs.sensor_checks.pedals import check_pedals
from boostwright.logs.sensor_checks.records import NotMade, SensorFault, SensorReport
from boostwright.logs.sensor_checks.slow_probe import check_slow
from boostwright.logs.sensor_checks.stations import check_stations
from boostwright.logs.sensor_checks.stuck import check_stuck
from boostwright.logs.sensor_checks.swapped import check_swapped
from boostwright.logs.sensor_checks.thermocouples import check_wires
from boostwright.logs.sensor_checks.turbine_drop import check_order
from boostwright.logs.sensor_checks.view import LogView
from boostwright.logs.series import Channels

__all__ = ["check_sensors"]

_ORDER: tuple[Callable[[LogView], None], ...] = (
    check_dropouts,
    check_wires,
    check_stuck,
    check_clipped,
    check_noisy,
    check_swapped,
    check_at_rest,
    check_cold,
    check_stations,
    check_charge_temperatures,
    check_slow,
    check_order,
    check_exchanged_probes,
    check_lambda,
    check_air_drawn_in,
    check_oil,
    check_fuel_rail,
    check_air_flow,
    check_blades,
    check_car_speed,
    check_gear_ratio,
    check_pedals,
)
_SHAPE = {"dropped-out", "stuck", "clipped", "noisy", "spikes", "slow-thermocouple"}


def check_sensors(channels: Channels, facts: SensorFacts | None = None) -> SensorReport:
    """What is doubtful in a log's sensors.

    channels  of a log, or in memory
    facts     what a build says; more checks can be made with it
    Checks of the shape of a channel come first, and what they condemn is left out of the comparisons that follow. What
    a comparison finds out (a basis, a unit, two names) is put right for the next, so that one cause is named once.
    Raises LogError where a channel cannot be read.
    """
    with np.errstate(all="ignore"):  # readings without sense become NaN, and NaN is left out
        view = LogView(channels, facts or SensorFacts())
        if not view.signals:
            return SensorReport((), (), (NotMade("all", (), "no channel holds more than a few readings"),))
        for check in _ORDER:
            check(view)
        air, half, source = view.barometer
    faults = _once(view.faults)
    notes = (f"The air's pressure is taken as {air / 1e3:.1f} kPa +- {half / 1e3:.1f} kPa, by {source}.",)
    return SensorReport(tuple(faults), tuple(view.made), tuple(_not_made(view.not_made)), notes)


def _once(faults: list[SensorFault]) -> list[SensorFault]:
    """Each cause once: of two faults of a kind in a channel the surer; a pair only where neither is blamed already."""
    faults = sorted((f for f in faults if f.certainty >= LEAST), key=lambda f: -f.certainty)
    kept: list[SensorFault] = []
    for fault in faults:
        blamed = {c: f for f in kept for c in f.channels if f.code not in _SHAPE}
        if fault.code in _SHAPE:
            if not any(f.code == fault.code and f.channels == fault.channels for f in kept):
                kept.append(fault)
        elif not any(c in blamed for c in fault.channels):
            kept.append(fault)
    single = {f.channels[0] for f in kept if len(f.channels) == 1 and f.code not in _SHAPE}
    return [f for f in kept if len(f.channels) == 1 or not set(f.channels) & single]


def _not_made(checks: list[NotMade]) -> list[NotMade]:
    """Each once."""
    return list(dict.fromkeys(checks))
