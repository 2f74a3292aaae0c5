import math

import glossary
import numpy as np
import pytest

from boostwright import units
from boostwright.report.display import in_shown_unit, shown, shown_number, shown_text


@pytest.mark.parametrize(
    ("name", "value_si", "unit_si", "text"),
    [
        ("engine_speed", 4000 * math.pi / 30, "rad/s", "4000 rpm"),
        ("boost", 56_300.0, "Pa", "56.3 kPa gauge"),
        ("pressure_em", 221_040.0, "Pa", "221.0 kPa absolute"),
        ("pressure_em_static", 200_000.0, "Pa", "200.0 kPa absolute"),
        ("temperature_em", 1173.15, "K", "900 degC"),
        ("egt_reading", 1123.15, "K", "850 degC"),
        ("power", 170_000.0, "W", "170.0 kW"),
        ("mass_flow_air", 0.1615, "kg/s", "161.5 g/s"),
        ("gate_lift", 0.0093, "m", "9.30 mm"),
        ("drive_pressure_ratio", 1.357, "", "1.36 absolute"),
        ("bsfc", 280e-3 / 3.6e6, "kg/J", "280 g/kWh"),
        ("surge_margin", 0.1849, "", "18 %"),
        ("lambda", 0.85, "", "0.850"),
        ("something_new", 12.34567, "kg*m2", "12.3457 kg*m2"),
    ],
)
def test_a_quantity_is_shown_in_the_unit_of_the_workshop_with_its_basis(
    name: str, value_si: float, unit_si: str, text: str
) -> None:
    assert shown_text(name, value_si, unit_si) == text


def test_no_value_is_a_dash_and_a_rounded_zero_has_no_sign() -> None:
    assert shown_number(math.nan, shown("torque", "Nm")) == "-"
    assert shown_number(-0.2, shown("torque", "Nm")) == "0"


def test_nan_stays_nan() -> None:
    values = in_shown_unit(np.array([math.nan, 373.15]), shown("temperature_2", "K"))
    assert math.isnan(values[0])
    assert values[1] == pytest.approx(100.0)


@pytest.mark.parametrize("entry", glossary.quantities().values(), ids=lambda entry: entry.name)
def test_every_name_of_the_glossary_can_be_shown_from_its_own_unit(entry: glossary.Entry) -> None:
    how = shown(entry.name, entry.unit)
    assert how.kind in units.KINDS
    assert how.unit in units.unit_names(how.kind)
    # the unit of the glossary is the SI unit of that kind: one of the one is one of the other
    si_name = "" if entry.unit == "1" else entry.unit
    assert units.convert(1.0, how.kind, si_name) == pytest.approx(1.0)
