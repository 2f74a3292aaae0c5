"""Variants of a build are the build with settings laid over it, to the last word."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from boostwright.build import Build, read_build, with_settings
from boostwright.build.variants import Variants
from boostwright.build.watched import Remembered
from boostwright.errors import BuildError

EXAMPLES = Path(__file__).resolve().parents[3] / "examples"
SETTINGS = (
    "wastegate.valve_diameter=38 mm",
    "wastegate.valve_diameter=50 mm +- 0.5 mm",
    "wastegate.branch_bore=40 mm",
    "wastegate.kind=none",
    "wastegate.spring_rating=0.5 bar gauge",
    "turbine.choked_flow=0.03 kg/s*sqrt(K)/kPa",
    "turbine.choked_flow=0.3 kg/s",
    "turbine.choked_flow_temperature=288.15 K",
    "turbine.choked_flow_pressure=101.325 kPa absolute",
    "turbine.given_as=wheel",
    "compressor.card=scaled-cc3-124mm",
    "ambient.pressure=84 kPa",
    "ambient.pressure=1010 hPa QNH",
    "ambient.altitude=800 m",
    "boost_control.target=0.7 bar gauge",
    "boost_control.target=",
    "prediction.mode=spring",
    "engine.stroke=100 mm",
    "engine.speed_limit=7500 rpm",
    "fuel.card=e85",
    "fuel.blend_card=e85",
    "fuel.blend_share=0.2",
    "limits.torque=300 Nm",
    "limits.boost=150 kPa absolute",
    "charge_cooler.kind=none",
    "nosuch.key=1",
    "wastegate.nosuch=1",
    "breathing.slow_filling=0.9",
)


@pytest.mark.parametrize("example", ["hill_climb_estate", "transverse_three"])
def test_a_variant_is_what_reading_with_settings_gives(example: str) -> None:
    build = read_build(EXAMPLES / example)
    family = Variants(build)
    rng = random.Random(11)
    same = refused = 0
    for _ in range(250):
        settings = tuple(rng.sample(SETTINGS, rng.randint(0, 4)))
        try:
            expected: Build | BuildError = with_settings(build, settings)
        except BuildError as error:
            expected = error
        if isinstance(expected, BuildError):
            with pytest.raises(BuildError) as caught:
                family.of(settings)
            assert caught.value.faults == expected.faults
            refused += 1
            continue
        assert family.of(settings).build == expected, settings
        same += 1
    assert same > 30
    assert refused > 30


def test_sections_that_settings_leave_alone_are_shared_and_so_are_values() -> None:
    build = read_build(EXAMPLES / "hill_climb_estate")
    family = Variants(build)
    plain, other = family.of(()), family.of(("wastegate.valve_diameter=40 mm",))
    assert other.changed == {"wastegate"}
    assert other.sections["turbine"] is plain.sections["turbine"]
    assert other.sections["wastegate"]["full_lift"] is plain.sections["wastegate"]["full_lift"]
    assert other.sections["wastegate"]["valve_diameter"] is not plain.sections["wastegate"]["valve_diameter"]


def test_a_remembered_function_runs_again_only_for_what_it_looked_at() -> None:
    build = read_build(EXAMPLES / "hill_climb_estate")
    family = Variants(build)
    runs: list[float] = []

    def area(sections: object) -> float:
        gate = sections["wastegate"]  # type: ignore[index]
        value = gate["valve_diameter"].si ** 2
        if gate["valve_diameter"].si > 0.045:  # a key that is looked at only then
            value += gate["branch_bore"].si
        runs.append(value)
        return float(value)

    remembered = Remembered(area)
    first = family.of(()).sections
    assert remembered(first) == remembered(family.of(("wastegate.spring_rating=0.5 bar gauge",)).sections)
    assert len(runs) == 1
    large = ("wastegate.valve_diameter=50 mm",)
    one = remembered(family.of(large).sections)
    other = remembered(family.of((*large, "wastegate.branch_bore=50 mm")).sections)
    assert other == pytest.approx(one + 0.006)
    assert len(runs) == 3
    assert remembered(family.of(("wastegate.branch_bore=50 mm",)).sections) == remembered(first)
    assert len(runs) == 3
