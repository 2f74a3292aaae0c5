"""Which quantity of two files tells how their clocks stand, and what it says."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from boostwright.logs.timebase.clock_answer import ClockBound, ClockOffset, NoOffset
from boostwright.logs.timebase.clock_offset import clock_offset
from boostwright.logs.timebase.sampling import Sampling

__all__ = ["Tried", "clocks_by_common_quantity", "pairs_in_common"]

_MUCH_LESS = 0.7  # of what is left over without a factor
_FACTOR = 0.003  # from which a factor is one
_A_PULL = 40.0  # s: as long as a pull with what goes before and after it
_LARGEST = 1.25  # factor that a tyre, a ratio or a pick-up explains
_SPEEDS = ("vehicle_speed_roller", "vehicle_speed", "vehicle_speed_gps", "wheel_speed")
_EFFORT = (
    "torque",
    "torque_wheel",
    "power",
    "power_wheel",
    "boost",
    "pressure_im",
    "mass_flow_air",
    "engine_load",
)
_SAME = (
    "engine_speed",
    "pressure_im",
    "boost",
    "throttle_position",
    "pedal_position",
    "shaft_speed",
    "mass_flow_air",
    "torque",
    "power",
    "torque_wheel",
    "power_wheel",
)
_PROBES = ("lambda", "air_fuel_ratio")
_OWN = 0.04  # s: lag of a quick instrument, own estimate
_OWN_ROAD = 0.3  # s: of a road speed, which its control unit smooths, own estimate
_GAS = 0.4  # s: gas on its way to a probe, and the probe's own delay, own estimate
_RECEIVER = 0.3  # s: by which a position receiver shows its speed late, common practice 0.05 to 0.3
_UNLIKE = 0.02  # s: of pick-ups on wheel, roller and engine, and of what lies between them, own estimate
_ALIKE = (
    0.1  # s: by which quantities that only rise and fall together do so one after the other, own estimate
)


@dataclass(frozen=True)
class Tried:
    """A pair of channels and what it told: channel of the first file, of the second, and the answer."""

    first: str
    second: str
    result: ClockOffset | ClockBound | NoOffset


def pairs_in_common(
    first: Mapping[str, Sampling], second: Mapping[str, Sampling]
) -> list[tuple[str, str, str]]:
    """Pairs of channels that can be compared, with their relation, the telling ones first.

    One quantity in both; speeds of the car, which differ by a factor; engine speed with the roller's, a multiple in one
    gear; what rises and falls with load.
    """
    out = [(name, name, "same") for name in _SAME if name in first and name in second]
    for a in _SPEEDS:
        out += [(a, b, "proportional") for b in _SPEEDS if a in first and b in second]
    for a, b in (("engine_speed", s) for s in _SPEEDS):
        out += [(a, b, "proportional")] if a in first and b in second else []
        out += [(b, a, "proportional")] if b in first and a in second else []
    if not out:  # where gas passes a probe is another place in each car, and another delay
        out = [(name, name, "same") for name in _PROBES if name in first and name in second]
    for a in _EFFORT:
        out += [(a, b, "similar") for b in _EFFORT if a in first and b in second and a != b]
    return out


def clocks_by_common_quantity(
    first: Mapping[str, Sampling],
    second: Mapping[str, Sampling],
    *,
    limits: tuple[float, float] | None = None,
    quantity: tuple[str, str] | None = None,
    lag: float | None = None,
) -> tuple[Tried, ...]:
    """Offsets by the pairs in common, the best answer first, then the rest in the order they were tried.

    limits    [s]  as for ``clock_offset``
    quantity  channel of the first and of the second file, to use that pair only; compared as "same" for one name
    lag       [s]  how late the second file's instrument is behind the first's, where that is known
    Pairs of a weaker relation (an engine's speed with a road's is weaker than two of a road) are tried only where no
    stronger one answers, none where engine speed in both finds none or several places, and those that are only similar
    where there is no other: of many such pairs one will always fit somehow.
    """
    if quantity is not None:
        relation = "same" if quantity[0] == quantity[1] else _relation(first, second, quantity)
        pairs = [(*quantity, relation)]
    else:
        pairs = pairs_in_common(first, second)
    tried: list[Tried] = []
    for relation, geared in (
        ("same", None),
        ("proportional", False),
        ("proportional", True),
        ("similar", None),
    ):
        for a, b, kind in pairs:
            if kind == relation and geared in (None, "engine_speed" in (a, b)):
                tried.append(Tried(a, b, _compared(first[a], second[b], relation, limits, lag)))
        figure = any(isinstance(one.result, ClockOffset) for one in tried)
        # an instrument that averages in one pair may do so unseen in a weaker one
        late = any(isinstance(one.result, ClockBound) and one.result.why != "noise" for one in tried)
        strange = any(
            one.first == one.second == "engine_speed"
            and isinstance(one.result, NoOffset)
            and one.result.reason in ("nothing-in-common", "several-fit")
            for one in tried
        )
        if figure or late or strange or (tried and geared):
            break  # where one quantity in both finds nothing, what only rises and falls alike proves nothing
    return tuple(sorted(tried, key=_order))


def _compared(
    first: Sampling,
    second: Sampling,
    relation: str,
    limits: tuple[float, float] | None,
    lag: float | None,
) -> ClockOffset | ClockBound | NoOffset:
    """One pair; of one quantity in both files the numbers may still differ by a factor, as a dyno's engine speed that
    is reckoned from its roller does: that is taken where it leaves much less over, and said."""
    if lag is None:
        first, second = _late_by_receiver(first), _late_by_receiver(second)
    delay = _GAS if first.name in _PROBES else _UNLIKE if relation == "proportional" else 0.0
    road = first.name in _SPEEDS or second.name in _SPEEDS
    own = _ALIKE if relation == "similar" else _OWN_ROAD if road else _OWN

    def compared(relation: str, lag: float | None) -> ClockOffset | ClockBound | NoOffset:
        return clock_offset(first, second, relation, limits=limits, delay=delay, own_lag=own, lag=lag)

    plain = compared(relation, lag)
    if relation != "same":
        return plain
    scaled = compared(
        "proportional", 0.0 if lag is None else lag
    )  # whether one is late is asked once it is needed
    if isinstance(scaled, NoOffset) or not 1.0 / _LARGEST < scaled.scale < _LARGEST:
        return plain
    if isinstance(plain, NoOffset) and scaled.common < _A_PULL:
        return plain  # with a factor left free one pull fits any other
    if not isinstance(plain, NoOffset) and not (
        scaled.unexplained < _MUCH_LESS * plain.unexplained and abs(scaled.scale - 1.0) > _FACTOR
    ):
        return plain
    scaled = compared("proportional", lag)
    if isinstance(scaled, NoOffset):
        return plain
    words = f"{scaled.words[:-1]}; the first file's numbers are {scaled.scale:.3f} times the second's."
    return replace(scaled, words=words)


def _late_by_receiver(one: Sampling) -> Sampling:
    """A position receiver works its speed out before it shows it, and nothing is blurred by that."""
    return replace(one, late=one.late + _RECEIVER) if one.name == "vehicle_speed_gps" else one


def _relation(
    first: Mapping[str, Sampling], second: Mapping[str, Sampling], quantity: tuple[str, str]
) -> str:
    found = [kind for a, b, kind in pairs_in_common(first, second) if (a, b) == quantity]
    return found[0] if found else "similar"


def _order(one: Tried) -> tuple[int, float]:
    if isinstance(one.result, ClockOffset):
        return 0, one.result.standard_error
    if isinstance(one.result, ClockBound):
        return 1, one.result.high - one.result.low
    return 2, 0.0
