"""Bands in build.toml: what may be written, what it means in SI, and what is refused with a remedy."""

from __future__ import annotations

from pathlib import Path

import pytest
from sound_build import SOUND, line_of, swap, write_build

from boostwright.build import check_build, read_build
from boostwright.build.bands import BAND_SHAPES, Band, default_band, split_band
from boostwright.build.build import Value
from boostwright.build.faults import Report
from boostwright.build.schema import SECTIONS
from boostwright.build.values import read_value

VE = "value = [0.82, 0.97, 0.86] }"


def band_of(
    folder: Path, section: str, key: str, *pairs: tuple[str, str], sets: tuple[str, ...] = ()
) -> Band:
    value = read_build(write_build(folder, swap(*pairs)), sets)[section].values[key]
    assert value.band is not None
    return value.band


@pytest.mark.parametrize(
    "text", ["0.70 +- 0.05", "0.70 ± 0.05", "0.70 +/- 0.05", "0.70+-0.05", "0.70 + - 0.05"]
)
def test_signs_of_a_band(tmp_path: Path, text: str) -> None:
    band = band_of(
        tmp_path, "charge_cooler", "effectiveness", ("effectiveness = 0.70", f'effectiveness = "{text}"')
    )
    assert band.below == band.above == pytest.approx((0.05,))
    assert band.shape == "normal"


def test_bands_are_in_si_and_the_value_is_untouched(tmp_path: Path) -> None:
    pairs = (
        ('bore = "83 mm"', 'bore = "83 mm +- 0.02 in uniform"'),
        ('temperature = "20 degC"', 'temperature = "20 degC +- 9 degF"'),
        ('spring_rating = "0.6 bar gauge"', 'spring_rating = "0.6 bar gauge +- 5 %"'),
        (VE, f'{VE[:-2]}, band = "5 % triangular" }}'),
        ('pressure = "101.3 kPa"', 'pressure = "101.3 kPa +- 10 hPa"'),
    )
    build = read_build(write_build(tmp_path, swap(*pairs)))
    plain = read_build(write_build(tmp_path / "plain"))
    wanted = {
        ("engine", "bore"): ((0.02 * 0.0254,), "uniform"),
        ("ambient", "temperature"): ((5.0,), "normal"),
        ("wastegate", "spring_rating"): ((3000.0,), "normal"),
        ("breathing", "volumetric_efficiency"): ((0.041, 0.0485, 0.043), "triangular"),
        ("ambient", "pressure"): ((1000.0,), "normal"),
    }
    for (section, key), (widths, shape) in wanted.items():
        value = build[section].values[key]
        assert value.band is not None
        assert value.band.above == pytest.approx(widths, rel=1e-12)
        assert value.band.shape == shape
        old = plain[section].values[key]
        assert (value.si, value.curve) == (old.si, old.curve)


def test_a_share_of_a_gauge_target_is_one_of_what_is_written(tmp_path: Path) -> None:
    target = 'value = [165, 175], value_unit = "kPa", value_basis = "absolute" }'
    gauge = 'value = [70, 80], value_unit = "kPa", value_basis = "gauge", band = "10 %" }'
    band = band_of(tmp_path, "boost_control", "target", (target, gauge))
    assert band.above == pytest.approx((7000.0, 8000.0))


def test_choked_flow_as_a_corrected_flow_carries_its_band_along(tmp_path: Path) -> None:
    flow = ('choked_flow = "0.022 kg/s*sqrt(K)/kPa"',
            'choked_flow = "0.13 kg/s +- 10 %"\nchoked_flow_temperature = "288.15 K"\n'
            'choked_flow_pressure = "101.325 kPa absolute"')  # fmt: skip
    build = read_build(write_build(tmp_path, swap(flow)))
    value = build["turbine"].values["choked_flow"]
    assert value.band is not None
    assert value.band.above[0] == pytest.approx(0.1 * build["turbine"].si("choked_flow"))


def test_a_setting_may_carry_a_band(tmp_path: Path) -> None:
    sets = ("charge_cooler.effectiveness=0.8 +- 0.1 triangular",)
    band = band_of(tmp_path, "charge_cooler", "effectiveness", sets=sets)
    assert band == Band((0.1,), (0.1,), "triangular", "0.1 triangular")


def test_qnh_brings_its_band_down_to_the_place(tmp_path: Path) -> None:
    pairs = (('pressure = "101.3 kPa"\npressure_basis = "station"\naltitude = "0 m"',
              'pressure = "101.3 kPa +- 1 kPa"\npressure_basis = "QNH"\naltitude = "1500 m"'),)  # fmt: skip
    build = read_build(write_build(tmp_path, swap(*pairs)))
    value = build["ambient"].values["pressure"]
    assert value.band is not None
    assert value.si is not None
    assert value.band.above[0] == pytest.approx(1000.0 * value.si / 101300.0)


# (old, new, key, words that the message must hold)
REFUSED = {
    "efficiency above 1": ("effectiveness = 0.70", 'effectiveness = "0.70 +- 0.5"', "charge_cooler.effectiveness",
                           ("from 0.2 to 1.2", "cannot be more than 1", '"+- 0.3"')),
    "negative length": ('branch_bore = "44 mm"', 'branch_bore = "44 mm +- 40 mm"', "wastegate.branch_bore",
                        ("cannot be less than 8 mm", '"+- 36 mm"')),
    "below absolute zero, or colder than air gets": ('temperature = "20 degC"', 'temperature = "20 degC +- 300 K"',
                                                     "ambient.temperature", ("cannot be less than -60 degC",)),
    "curve below its bound": (VE, f'{VE[:-2]}, band = "90 %" }}', "breathing.volumetric_efficiency",
                              ("cannot be less than 0.2",)),
    "word misspelt": ("effectiveness = 0.70", 'effectiveness = "0.70 +- 0.05 unifrom"', "charge_cooler.effectiveness",
                      ('the word "unifrom"', 'Did you mean "uniform"?')),
    "share of a share": ("effectiveness = 0.70", 'effectiveness = "70 % +- 5 %"', "charge_cooler.effectiveness",
                         ("points or a share", '"0.7 +- 0.05"')),
    "share of a temperature": ('temperature = "20 degC"', 'temperature = "20 degC +- 5 %"', "ambient.temperature",
                               ("share of a temperature", '"+- 5 K"')),
    "no unit": ('bore = "83 mm"', 'bore = "83 mm +- 0.5"', "engine.bore", ("has no unit", '"+- 2 mm"')),
    "unit of another kind": ('bore = "83 mm"', 'bore = "83 mm +- 2 kPa"', "engine.bore", ("measures pressure",)),
    "no width": ('bore = "83 mm"', 'bore = "83 mm +-"', "engine.bore", ("no width",)),
    "zero": ('bore = "83 mm"', 'bore = "83 mm +- 0 mm"', "engine.bore", ("not above zero",)),
    "negative": ('bore = "83 mm"', 'bore = "83 mm +- -1 mm"', "engine.bore", ("not above zero",)),
    "basis at the width": ('spring_rating = "0.6 bar gauge"', 'spring_rating = "0.6 bar gauge +- 0.1 bar gauge"',
                           "wastegate.spring_rating", ("is a width, which is not gauge",)),
    "a count": ("cylinders = 5", 'cylinders = "5 +- 1"', "engine.cylinders", ("count, which takes no band",)),
    "a decision": ('speed_limit = "6800 rpm"', 'speed_limit = "6800 rpm +- 50 rpm"', "engine.speed_limit",
                   ("is a decision",)),
    "band of a curve that is a number": (VE, f"{VE[:-2]}, band = 0.05 }}", "breathing.volumetric_efficiency",
                                         ("is no band",)),
}  # fmt: skip


@pytest.mark.parametrize("case", REFUSED)
def test_refused_with_place_key_value_and_remedy(tmp_path: Path, case: str) -> None:
    old, new, key, words = REFUSED[case]
    text = swap((old, new))
    folder = write_build(tmp_path, text)
    checked = check_build(folder)
    assert [fault.key for fault in checked.faults] == [key]
    fault = checked.faults[0]
    assert fault.line == line_of(text, new)
    assert fault.value
    assert fault.allowed
    assert fault.remedy
    for word in words:
        assert word in str(fault)
    assert (folder / "build.toml").read_text(encoding="utf-8") == text


def test_what_is_no_band_stays_as_it_is() -> None:
    assert split_band("0.6 bar gauge") == ("0.6 bar gauge", "")
    assert split_band("-5 degC") == ("-5 degC", "")
    assert split_band("1e+-3") == ("1e", "3")  # no number either way; the reader refuses it
    assert split_band(0.7) == (0.7, "")


def _defaults() -> list[tuple[str, Value]]:
    found = []
    for section in SECTIONS:
        for parameter in section.parameters:
            if (
                parameter.default_band
                and parameter.default_status != "computed"
                and parameter.default is not None
            ):
                value = read_value(
                    parameter, parameter.default, (section.name, parameter.name), {}, Report("x", {})
                )
                assert value is not None
                found.append((f"{section.name}.{parameter.name}", value))
    return found


DEFAULTS = _defaults()


@pytest.mark.parametrize(("name", "value"), DEFAULTS, ids=[name for name, _ in DEFAULTS])
def test_bands_of_defaults_can_be_read_and_lie_within_the_bounds(name: str, value: Value) -> None:
    band = default_band(value)
    assert band is not None
    assert band.shape in BAND_SHAPES
    assert max(*band.below, *band.above) > 0.0
    assert min(*band.below, *band.above) >= 0.0
    assert value.parameter.measured_by or "at_" in name, "says what would make it known better"


def test_there_are_bands_for_most_defaults_that_are_numbers() -> None:
    assert len(DEFAULTS) > 40


def test_the_sound_build_has_no_band(tmp_path: Path) -> None:
    build = read_build(write_build(tmp_path, SOUND))
    assert not any(value.band for section in build.sections.values() for value in section.values.values())
