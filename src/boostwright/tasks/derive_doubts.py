"""What of a derived answer hangs on a sensor that is not to be trusted."""

from __future__ import annotations

from collections.abc import Iterable

from boostwright.logs.derived.catalogue import Derived
from boostwright.tasks.check_sensors import check_sensors
from boostwright.tasks.log_place import LogPlace

__all__ = ["doubt_notes"]


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
