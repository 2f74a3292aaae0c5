"""What of a derived answer hangs on a sensor that is not to be trusted."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np

from boostwright.logs.derived.catalogue import Derived
from boostwright.tasks.check_sensors import check_sensors
from boostwright.tasks.log_place import LogPlace

__all__ = ["barometer_note", "doubt_notes"]

_ANOTHER_PLACE = 4e3  # Pa from the build's barometer: some 300 m of height, or rare weather


def barometer_note(place: LogPlace, made: Mapping[str, Derived]) -> tuple[str, ...]:
    """A sentence where the manifold sensor with the engine at rest stands for the air, far from the build's pressure.

    Then its zero is off, or the log is of another place: nothing in it says which. () elsewhere.
    """
    found = made.get("pressure_amb")
    if found is None or place.build is None or "pressure_im" not in found.inputs:
        return ()
    level, build = float(np.nanmedian(found.result.value)), place.build["ambient"].si("pressure")
    if abs(level - build) < _ANOTHER_PLACE:
        return ()
    return (
        f"The air's pressure is taken as {level / 1e3:.1f} kPa, by pressure_im with the engine at rest; the build has "
        f"{build / 1e3:.1f}. Another place or weather; or its zero is off by so much, and then boost is right, but "
        "absolute pressures, pressure ratio and air flow are not. Read a barometer at the place.",
    )


def doubt_notes(place: LogPlace, made: Iterable[Derived]) -> tuple[str, ...]:
    """A sentence for each doubtful channel: what is wrong with it, how sure that is, and the quantities it went into.

    place  the log; made: what was worked out of it
    Nothing is corrected or left out: the user decides, and imports or logs again. Raises LogError as the check does.
    """
    faults = check_sensors(place, part=place.part).faults
    doubted: dict[str, list[str]] = {}
    for fault in faults:
        for channel in fault.channels:
            doubted.setdefault(channel, []).append(f"{fault.code}, {fault.certainty:.2f}")
    hanging = {channel: [one.quantity.name for one in made if channel in one.inputs] for channel in doubted}
    return tuple(
        f"{channel} is doubtful ({'; '.join(why)}: boostwright sensors says more), and so is what it went into: "
        f"{', '.join(hanging[channel])}."
        for channel, why in doubted.items()
        if hanging[channel]
    )
