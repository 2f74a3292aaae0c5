"""Rods of a build: masses as weighed or by the bore, columns in both planes, bolts by class, load or torque."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from boostwright.build import Build, read_build, with_settings
from boostwright.components.rods import Rods
from boostwright.errors import BuildError
from boostwright.physics.strength import bolt
from boostwright.solve.rods import rods_of_build

BUILD = Path(__file__).resolve().parents[3] / "examples" / "hill_climb_estate"


@pytest.fixture(scope="module")
def plain() -> Build:
    return read_build(BUILD)


def rods(plain: Build, *settings: str) -> Rods:
    found = rods_of_build(with_settings(plain, settings))
    assert found is not None
    return found


def test_parts_add_up_to_what_goes_to_and_fro(plain: Build) -> None:
    assert rods(plain).reciprocating_mass == pytest.approx(0.310 + 0.092 + 0.025 + 0.3 * 0.55)
    whole = rods(plain, "rods.piston_mass=", "rods.pin_mass=", "rods.reciprocating_mass=0.61 kg")
    assert whole.reciprocating_mass == pytest.approx(0.61)


def test_without_scales_the_bore_gives_the_mass_and_says_so(plain: Build) -> None:
    build = with_settings(plain, ("rods.piston_mass=", "rods.pin_mass=", "rods.rod_mass="))
    found = rods_of_build(build)
    assert found is not None
    assert found.reciprocating_mass == pytest.approx(950.0 * 0.083**3)
    used = {default.key: default for default in build.defaults_used}
    assert used["rods.reciprocating_mass"].status == "own estimate"
    assert "30 %" in used["rods.reciprocating_mass"].value
    assert "rods.rod_mass" in used


@pytest.mark.parametrize("bore", [70.0, 83.0, 100.0])
def test_the_rule_lies_within_its_band_of_masses_met(bore: float) -> None:
    """0.50 to 0.60 kg at bores of 82 to 86 mm: masses of worked examples of rod loads, from memory."""
    by_bore = 950.0 * (bore / 1e3) ** 3
    scaled = np.array([0.60 * (bore / 81.7) ** 3, 0.50 * (bore / 83.1) ** 3, 0.55 * (bore / 86.0) ** 3])
    assert (np.abs(scaled / by_bore - 1.0) < 0.3).all()


def test_big_end_less_its_cap_pulls_at_the_bolts(plain: Build) -> None:
    assert rods(plain).pulling_mass == pytest.approx((1.0 - 0.3 - 0.25) * 0.55)
    assert rods(plain, "rods.cap_share=40 %").pulling_mass == pytest.approx((1.0 - 0.3 - 0.4) * 0.55)


def test_an_h_beam_is_the_same_i_on_its_side(plain: Build) -> None:
    upright = rods(plain).shank
    lying = rods(plain, "rods.section=h-beam", "rods.section_depth=15 mm", "rods.section_width=24 mm").shank
    assert upright is not None
    assert lying is not None
    assert lying.area == pytest.approx(upright.area)
    assert lying.columns[0].slenderness == pytest.approx(upright.columns[1].slenderness)
    assert lying.columns[1].slenderness == pytest.approx(upright.columns[0].slenderness)
    assert lying.compression_allowed < upright.compression_allowed  # weak where it is hinged


def test_a_stated_section_is_taken_as_it_stands(plain: Build) -> None:
    i_beam = rods(plain).shank
    assert i_beam is not None
    stated = rods(
        plain,
        "rods.section=stated",
        "rods.section_area=188.4 mm2",
        "rods.second_moment_swing=13800 mm4",
        "rods.second_moment_across=2446 mm4",
    ).shank
    assert stated is not None
    assert stated.compression_allowed == pytest.approx(i_beam.compression_allowed, rel=1e-3)


def test_bolts_by_torque_by_load_and_by_nothing(plain: Build) -> None:
    by_torque = rods(plain).bolts
    assert by_torque is not None
    assert by_torque.proof_load == pytest.approx(830e6 * float(bolt.bolt_stress_area(9e-3, 1e-3)))
    back = bolt.tightening_torque_vdi_2230(by_torque.preload, 9e-3, 1e-3, 0.12, 1.28 * 9e-3)
    assert float(back) == pytest.approx(50.0)
    unknown = rods(plain, "rods.bolt_torque=").bolts
    assert unknown is not None
    assert unknown.preload == pytest.approx(0.75 * unknown.proof_load)
    own = rods(plain, "rods.bolt_class=", "rods.bolt_proof_load=60 kN", "rods.bolt_preload=45 kN").bolts
    assert own is not None
    assert own.pull_allowed == pytest.approx(2 * min(45e3 / (1 - own.load_share), 15e3 / own.load_share))


def test_a_preload_near_proof_leaves_the_bolt_little(plain: Build) -> None:
    """Then the bolt passes its proof load before the joint opens, and the words say so."""
    tight = rods(
        plain,
        "rods.bolt_class=",
        "rods.bolt_proof_load=40 kN",
        "rods.bolt_preload=39 kN",
        "rods.bolt_torque=",
    ).bolts
    assert tight is not None
    assert tight.first == "the bolts pass their proof load"
    assert tight.pull_allowed == pytest.approx(2 * 1e3 / tight.load_share)


def test_no_rods_asked_none_watched(plain: Build) -> None:
    keys = [key for key in plain["rods"].values if plain["rods"].written(key)]
    assert rods_of_build(with_settings(plain, [f"rods.{key}=" for key in keys])) is None
    with pytest.raises(BuildError, match="believed_torque"):
        with_settings(plain, ("rods.believed_torque=",))
