"""What counts as a pull: every bound that the search uses, in one place and stated with its answer."""

from __future__ import annotations

from dataclasses import dataclass, field

from boostwright.logs.gear import GearFacts

__all__ = ["RPM", "PullFacts", "PullRules"]

RPM = 0.10471975511965977
"""One revolution a minute [rad/s]."""


@dataclass(frozen=True)
class PullRules:
    """Bounds of the search; common practice without a source where it says so, else our own choice.

    full_throttle      [-]      share of the throttle's travel that counts as full (common practice: about 90 %)
    least_rise         [rad/s]  by how much engine speed must rise (common practice: 1500 to 2000 rpm)
    least_time         [s]      how long it must rise
    least_samples      [-]      true samples of engine speed within it
    slowest_ramp       [rad/s2] below this speed is held, not rising
    fastest_ramp       [rad/s2] above this the engine has no car to move
    ratio_tolerance    [-]      by how much engine speed over road speed may wander in one gear; tyres creep by a few %
    largest_gap        [s]      a hole in engine speed that is bridged; at least 2.5 of its own steps
    longest_bridge     [s]      a dip of the ramp or the throttle that is taken for noise
    warm_coolant       [K]      below this the engine is cold, which is told with the pull
    coldest_coolant    [K]      below this the stretch is not taken; 0 takes all
    nearly             [-]      share of ``least_rise`` from which a rise at less than full throttle is told
    """

    full_throttle: float = 0.90
    least_rise: float = 1500 * RPM
    least_time: float = 1.0
    least_samples: int = 5
    slowest_ramp: float = 20 * RPM
    fastest_ramp: float = 4500 * RPM
    ratio_tolerance: float = 0.05
    largest_gap: float = 0.5
    longest_bridge: float = 0.25
    warm_coolant: float = 333.15
    coldest_coolant: float = 0.0
    nearly: float = 0.6


@dataclass(frozen=True)
class PullFacts:
    """What is known of the car besides the log; nothing of it has to be.

    gears     its gear ratios
    barometer [Pa]  air pressure at the place by the build, used where the log has none; None for unknown
    """

    gears: GearFacts = field(default_factory=GearFacts)
    barometer: float | None = None
