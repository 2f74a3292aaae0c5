"""Connecting rods of a build: what goes to and fro, what shank and cap bolts may carry, and what is believed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build, Section
from boostwright.cards.card import Card
from boostwright.physics import driveline
from boostwright.physics.strength import bolt, column, section

__all__ = [
    "SIGMAS",
    "Belief",
    "Bolts",
    "Column",
    "Rods",
    "Shank",
    "believed_torque",
    "bolts_of",
    "reciprocating_mass",
    "rods_of",
    "shank_of",
    "wheel_to_crank",
]

Array = NDArray[np.float64]

SIGMAS = 3.0
"""Standard deviations of peak pressure above its mean at which rods and cylinders are held to their limits."""

_CLASSES = {
    "8.8": (580e6, 640e6),
    "10.9": (830e6, 940e6),
    "12.9": (970e6, 1100e6),
}  # proof, yield [Pa], ISO 898-1
_REUSED = 0.75  # of the proof load, for bolts that are used again: Shigley, from memory
_HEAD = 1.28  # mean friction diameter under the head over the thread's: that of a hexagon head, ISO 4014
_STEEL = 205e9  # Pa, Young's modulus of a bolt


@dataclass(frozen=True)
class Column:
    """Critical forces [N] of the shank in one plane by author; ``end_condition`` as in ``physics.strength.column``."""

    plane: str
    end_condition: float
    slenderness: float
    euler: float
    johnson: float
    rankine: float

    @property
    def lowest(self) -> float:
        """The lowest of the forms that hold at this slenderness [N]."""
        return min(self.johnson, self.rankine)


@dataclass(frozen=True)
class Shank:
    """The rod's shank: section [m2], both planes, and what it may carry [N] with the safety factor taken off."""

    area: float
    columns: tuple[Column, Column]
    yield_strength: float
    safety_factor: float
    material: str

    @property
    def compression_allowed(self) -> float:
        """Compression the weaker plane may carry [N]."""
        return min(plane.lowest for plane in self.columns) / self.safety_factor

    @property
    def tension_allowed(self) -> float:
        """Pull at which the section reaches yield over the safety factor [N]."""
        return self.area * self.yield_strength / self.safety_factor


@dataclass(frozen=True)
class Bolts:
    """The bolts of one big end; forces [N] of one bolt, ``pull_allowed`` [N] of all together."""

    count: int
    proof_load: float
    preload: float
    load_share: float
    pull_allowed: float
    first: str


@dataclass(frozen=True)
class Belief:
    """What the owner believes; torque [N m] at the crank, what is not known None."""

    torque: float
    speed: float | None
    phasing: float | None
    fuel: str | None
    above_allowed: bool
    written: str


@dataclass(frozen=True)
class Rods:
    """Everything of [rods] that forces need, SI.

    reciprocating_mass  piston, pin, rings, small end's share
    pulling_mass        what of the big end pulls at the cap bolts beside: the crankpin's share without the cap
    overlap_pressure    in the cylinder at overlap with the throttle shut
    """

    reciprocating_mass: float
    pulling_mass: float
    overlap_pressure: float
    belief: Belief | None
    shank: Shank | None
    bolts: Bolts | None


def rods_of(build: Build, material: Card | None) -> Rods | None:
    """Rods of a build; None where it does not watch them.

    material  card of the rod where the build names one
    """
    keys = build["rods"]
    way = keys.text("given_as")
    if way == "none":
        return None
    moving = reciprocating_mass(keys)
    cap = keys.si("cap_share") if keys.has("cap_share") else 0.0
    big_end = max(1.0 - keys.si("small_end_share") - cap, 0.0) * keys.si("rod_mass")
    return Rods(
        reciprocating_mass=moving,
        pulling_mass=big_end,
        overlap_pressure=keys.si("overlap_pressure"),
        belief=believed_torque(build) if way in ("belief", "both") else None,
        shank=shank_of(build, material) if way in ("dimensions", "both") and material is not None else None,
        bolts=bolts_of(keys) if keys.has("bolt_count") else None,
    )


def reciprocating_mass(keys: Section) -> float:
    """Mass [kg] that goes to and fro: as given, the sum of its parts, or by the bore."""
    if keys.has("reciprocating_mass"):
        return keys.si("reciprocating_mass")
    parts = sum(keys.si(key) for key in ("piston_mass", "pin_mass", "ring_mass"))
    return parts + keys.si("small_end_share") * keys.si("rod_mass")


def wheel_to_crank(section_: Section, torque: Array) -> Array:
    """Torque [N m] at the crank of a torque at the wheels by the [driveline]; the loss does not hang on speed."""
    model = section_.text("loss_model")
    share = section_.si("loss_share") if model in ("share", "share-and-drag") else 0.0
    drag = section_.si("drag_torque") if model in ("drag", "share-and-drag") else 0.0
    return np.asarray(driveline.power_at_crankshaft(torque, 1.0, share, drag), dtype=float)


def believed_torque(build: Build) -> Belief:
    """The belief with its torque at the crank."""
    keys = build["rods"]
    torque = keys.si("believed_torque")
    if keys.text("believed_torque_basis") == "wheel":
        torque = float(wheel_to_crank(build["driveline"], np.array(torque)))
    return Belief(
        torque=torque,
        speed=keys.si("believed_speed") if keys.has("believed_speed") else None,
        phasing=keys.si("believed_phasing") if keys.has("believed_phasing") else None,
        fuel=keys.text("believed_fuel") if keys.has("believed_fuel") else None,
        above_allowed=keys.text("allow_above_belief") == "true",
        written=f"{keys.as_written('believed_torque')} at the {keys.text('believed_torque_basis')}",
    )


def _section(keys: Section) -> tuple[float, float, float]:
    """Area [m2], second moments [m4] in the plane of swing and across it."""
    if keys.text("section") == "stated":
        return keys.si("section_area"), keys.si("second_moment_swing"), keys.si("second_moment_across")
    depth, width = keys.si("section_depth"), keys.si("section_width")
    lying = keys.text("section") == "h-beam"
    over, along = (width, depth) if lying else (depth, width)
    sizes = (over, along, keys.si("flange_thickness"), keys.si("web_thickness"))
    strong = float(section.i_section_second_moment_strong(*sizes))
    weak = float(section.i_section_second_moment_weak(*sizes))
    area = float(section.i_section_area(*sizes))
    return (area, weak, strong) if lying else (area, strong, weak)


def shank_of(build: Build, material: Card) -> Shank:
    """Columns of the shank: hinged in the plane of swing, clamped across it, both as long as the rod."""
    keys = build["rods"]
    length = build["engine"].si("connecting_rod_length")
    strength, modulus = material.si("yield_strength"), material.si("youngs_modulus")
    area, swing, across = _section(keys)
    planes = []
    for plane, ends, moment in (("swing", 1.0, swing), ("across", 4.0, across)):
        radius = float(section.radius_of_gyration(moment, area))
        constant = float(column.rankine_constant(strength, modulus, ends))
        planes.append(
            Column(
                plane=plane,
                end_condition=ends,
                slenderness=length / radius,
                euler=float(column.column_force_euler(area, length, radius, modulus, ends)),
                johnson=float(column.column_force_johnson(area, length, radius, strength, modulus, ends)),
                rankine=float(column.column_force_rankine(area, length, radius, strength, constant)),
            )
        )
    return Shank(area, (planes[0], planes[1]), strength, keys.si("safety_factor"), material.name)


def bolts_of(keys: Section) -> Bolts:
    """Bolts of one big end: proof load, preload, and the pull at which the joint opens or the bolts pass proof."""
    diameter, pitch = keys.si("bolt_diameter"), keys.si("bolt_pitch")
    area = float(bolt.bolt_stress_area(diameter, pitch))
    if keys.has("bolt_proof_load"):
        proof = keys.si("bolt_proof_load")
    else:
        proof = float(bolt.bolt_proof_load(area, _CLASSES[keys.text("bolt_class")][0]))
    preload = _REUSED * proof
    if keys.has("bolt_preload"):
        preload = keys.si("bolt_preload")
    elif keys.has("bolt_torque"):
        each = bolt.tightening_torque_vdi_2230(
            1.0, diameter, pitch, keys.si("bolt_friction"), _HEAD * diameter
        )
        preload = keys.si("bolt_torque") / float(each)
    share = _load_share(keys, area, diameter)
    opens = float(bolt.pull_at_separation(preload, share))
    passes = max(float(bolt.pull_at_proof_load(proof, preload, share)), 0.0)
    count = keys.integer("bolt_count")
    first = "the joint opens" if opens < passes else "the bolts pass their proof load"
    return Bolts(count, proof, preload, share, count * min(opens, passes), first)


def _load_share(keys: Section, area: float, diameter: float) -> float:
    """Share of the pull that the bolts take: their stiffness over that of bolts and parts."""
    if not keys.has("bolt_grip_length"):
        return keys.si("bolt_load_share")
    length = keys.si("bolt_grip_length")
    own = float(bolt.shank_stiffness(area, length, _STEEL))
    parts = float(bolt.joint_stiffness_wileman(diameter, length, _STEEL))
    return own / (own + parts)
