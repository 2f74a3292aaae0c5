"""What is said of the exhaust probe beside a prediction: where it stands, what its reading misses, what it bears."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build, Section
from boostwright.components.probe import immersion
from boostwright.solve.operating_point import Choice, Flag, Remark
from boostwright.tasks.beside import Beside, Flags, flagged

__all__ = ["probe_figures"]

Array = NDArray[np.float64]
_RPM = 30.0 / np.pi
_ZERO_CELSIUS = 273.15


def probe_figures(build: Build, q: Mapping[str, Array]) -> Beside:
    """Choice, parts of the reading in words, and a flag where the probe is hotter than it is made for.

    q  quantities along the points (n,), SI
    """
    section = build["probe"]
    solved = np.isfinite(q["egt_reading"])
    flags: Flags = ()
    if section.has("highest_temperature") and solved.any():
        highest = section.si("highest_temperature")
        tip = q["egt_reading"] + q["probe_cycle_offset"]
        with np.errstate(invalid="ignore"):
            beyond = tip > highest
        message = (
            f"the tip of the probe gets hotter than the {highest - _ZERO_CELSIUS:.0f} degC it is made for, up to "
            f"{np.nanmax(tip) - _ZERO_CELSIUS:.0f} degC"
        )
        flags = flagged(beyond, Flag("probe-beyond-range", message))
    return Beside(choices=(_choice(section),), remarks=_parts(section, q), flags=flags)


def _choice(section: Section) -> Choice:
    place = "collector" if section.text("place") == "collector" else "every runner"
    words = f"{1e3 * section.si('diameter'):g} mm across the flow in the {place}".replace(
        "the every", "every"
    )
    if section.has("card"):
        words += f", by its card {section.text('card')}"
    if section.has("time_constant"):
        words += f"; lag {section.si('time_constant'):g} s at full load, not in a steady reading"
    return Choice("exhaust probe", words, "build")


def _parts(section: Section, q: Mapping[str, Array]) -> tuple[Remark, ...]:
    """The parts of the reading at the hottest point, where the build describes its probe."""
    if not any(section.written(name) for name in section.values) or not np.isfinite(q["egt_reading"]).any():
        return ()
    i = int(np.nanargmax(q["egt_reading"]))
    below = sum(
        float(q[f"probe_{part}"][i])
        for part in ("recovery_error", "radiation_error", "conduction_error", "cycle_offset")
    )
    sheath = f"{q['probe_conduction_error'][i]:.0f} K conduction along the sheath"
    if immersion(section) is None:
        sheath = "conduction along the sheath left out, since probe_length is not given"
    speed, shown = q["engine_speed"][i] * _RPM, q["egt_reading"][i] - _ZERO_CELSIUS
    message = (
        f"exhaust probe: at {speed:.0f} rpm it shows {shown:.0f} degC, {below:.0f} K below the gas where it stands: "
        f"{q['probe_radiation_error'][i]:.0f} K radiation to the wall, {q['probe_recovery_error'][i]:.0f} K recovery, "
        f"{q['probe_cycle_offset'][i]:.0f} K stated for the cycle's time mean, {sheath}"
    )
    return (Remark("probe-parts", message, below, "K", "model"),)
