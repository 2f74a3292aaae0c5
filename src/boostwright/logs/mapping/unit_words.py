"""Spellings of units as logs have them, in several languages, and the unit of the program's table each one means.

The table of units itself is strict; here stand the habits of files. What a spelling leaves open (gauge or absolute,
which horsepower) stays open.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache

__all__ = ["UnitWord", "find_unit", "folded"]


@dataclass(frozen=True)
class UnitWord:
    """What a spelling means.

    kind   kind of quantity in the table of units, or one of "counts", "air_fuel_ratio", "mass_per_stroke", "date", which
           it does not hold
    unit   name in the table; '' where the spelling leaves it open (hp)
    basis  gauge or absolute where the spelling says so, else ''
    """

    kind: str
    unit: str
    basis: str = ""


_SPELLINGS: dict[tuple[str, str], str] = {
    ("rotational_speed", "rpm"): "rpm 1/min r/min rev/min revs/min min-1 min^-1 /min u/min upm umin tr/min trs/min t/min giri/min"
    " g/min' obr/min ot/min v/min varv/min omw/min toeren/min rot/min r.p.m. rpm. u/min. min⁻¹ rev/m ob/min",
    ("rotational_speed", "krpm"): "krpm 1000rpm rpmx1000 x1000rpm 1000/min 1000_1/min rpm/1000 10^3rpm",
    ("rotational_speed", "rev/s"): "rev/s 1/s rps u/s",
    ("rotational_speed", "rad/s"): "rad/s",
    ("velocity", "km/h"): "km/h kph kmh kmph km/hr km/std km/t kmph",
    ("velocity", "mph"): "mph mi/h miles/h mile/h mi/hr",
    ("velocity", "m/s"): "m/s mps m_s",
    ("velocity", "ft/s"): "ft/s fps",
    ("temperature", "degC"): "degc °c ºc ˚c c deg_c degreec degreesc celsius gradc grad_c deg.c c° ℃ oc *c degcelsius grd_c",
    ("temperature", "degF"): "degf °f ºf ˚f f deg_f degreef degreesf fahrenheit f° ℉ *f deg.f",
    ("temperature", "K"): "k kelvin degk °k",
    ("temperature", "degR"): "degr °r",
    ("pressure", "kPa"): "kpa kilopascal",
    ("pressure", "hPa"): "hpa",
    ("pressure", "mbar"): "mbar mb millibar",
    ("pressure", "bar"): "bar bars",
    ("pressure", "Pa"): "pa pascal",
    ("pressure", "MPa"): "mpa",
    ("pressure", "psi"): "psi lb/in2 lbs/in2 lbf/in2 lb/in^2",
    ("pressure", "inHg"): "inhg in_hg in.hg \"hg in-hg",
    ("pressure", "mmHg"): "mmhg mm_hg torr",
    ("pressure", "inH2O"): "inh2o in_h2o inwc \"h2o",
    ("pressure", "mmH2O"): "mmh2o mmwc mm_h2o",
    ("pressure", "atm"): "atm",
    ("pressure", "kgf/cm2"): "kgf/cm2 kg/cm2 kgf/cm^2 kg/cm^2 kg/cm² kgf/cm² at",
    ("mass_flow", "g/s"): "g/s gm/s gps g/sec grams/s gr/s gm/sec g/sek",
    ("mass_flow", "kg/h"): "kg/h kg/hr kgh kg/std kg/hour",
    ("mass_flow", "kg/s"): "kg/s",
    ("mass_flow", "kg/min"): "kg/min",
    ("mass_flow", "lb/min"): "lb/min lbs/min lbm/min ppm",
    ("mass_flow", "lb/h"): "lb/h lb/hr lbs/hr lbm/h pph lbs/h",
    ("mass_flow", "g/min"): "g/min",
    ("volume_flow", "L/h"): "l/h l/hr lph l/std l/hour",
    ("volume_flow", "L/min"): "l/min lpm",
    ("volume_flow", "L/s"): "l/s",
    ("volume_flow", "cm3/min"): "cc/min ccm ml/min cm3/min cm³/min ccpm",
    ("volume_flow", "cm3/s"): "cc/s ccps ml/s cm3/s cm³/s",
    ("volume_flow", "m3/h"): "m3/h m³/h m^3/h",
    ("volume_flow", "m3/s"): "m3/s m³/s",
    ("volume_flow", "CFM"): "cfm ft3/min",
    ("volume_flow", ""): "gph gal/h gal/hr gpm scfm",
    ("power", "kW"): "kw",
    ("power", "W"): "w watt",
    ("power", "PS"): "ps ch cv pk km hk hp(metric) hp_(metric) metric_hp kon km_mech",
    ("power", "hp (mechanical)"): "hp(mechanical) hp_(mechanical) hp(i) imperial_hp",
    ("power", ""): "hp bhp whp horsepower",
    ("torque", "Nm"): "nm n-m n*m n.m n·m newton-metre newtonmetre n_m",
    ("torque", "lbf*ft"): "lb-ft lbft ft-lb ftlb ft-lbs ft.lbs lb.ft lbf-ft ftlbs lbf*ft lb*ft ft*lb lb_ft ft_lb ft_lbs lbsft lbf.ft ft-lbf lbf_ft",
    ("torque", "kgf*m"): "kgf*m kgfm kgm mkg kpm kgf-m kgf.m kg*m",
    ("angle", "deg"): "deg ° º ˚ degree degrees °ca degca deg_ca °kw kw° grad grd °crk degcrk °cr deg_crank stopnie degré degrés °v",
    ("voltage", "V"): "v volt volts vdc",
    ("voltage", "mV"): "mv millivolt",
    ("current", "A"): "a amp amps ampere",
    ("current", "mA"): "ma",
    ("time", "s"): "s sec secs second seconds sek sekunden seg segundos secondes sekund s.",
    ("time", "ms"): "ms msec millisec milliseconds millis msek",
    ("time", "us"): "us µs μs usec microseconds",
    ("time", "min"): "minutes",
    ("time", "h"): "h hours hr",
    ("dimensionless", "%"): "% pct percent prozent pourcent procent %dc pro_cent percento porcento proz per_cent %_dc",
    ("dimensionless", ""): "- 1 none [] -/- lambda λ la n/a_unit ratio factor count gear bool on/off state flag index",
    ("air_fuel_ratio", ""): "afr :1 air/fuel a/f kg/kg",
    ("frequency", "Hz"): "hz",
    ("frequency", "kHz"): "khz",
    ("length", "m"): "m meter metre meters metres",
    ("length", "km"): "km_dist kilometer kilometre",
    ("length", "mm"): "mm",
    ("length", "ft"): "ft feet",
    ("length", "in"): "in inch inches",
    ("volume", "L"): "l litre liter litres ltr",
    ("volume", "cm3"): "cc cm3 cm³ ml",
    ("volume", "mm3"): "mm3 mm³",
    ("mass", "kg"): "kg",
    ("mass", "g"): "gram grams",
    ("mass", "mg"): "mg",
    ("mass_per_stroke", ""): "mg/stroke mg/stk mg/hub g/rev mg/cyl mg/str g/stroke mg/c mg/cycle mg/h_ub",
    ("acceleration", ""): "g m/s2 m/s² m/s^2 gee",
    ("angular_velocity", ""): "deg/s °/s",
    ("counts", ""): "counts raw adc bits bit hex lsb cnt",
    ("specific_fuel_consumption", "g/kWh"): "g/kwh",
    ("density", "kg/m3"): "kg/m3 kg/m³ kg/m^3",
    ("resistance", ""): "ohm ohms ω kohm",
}

_DIMENSIONLESS_SIGNS = {"%", ":1"}
_BASES = (
    (re.compile(r"[\s_,(]*(?:absolute|absolut|abs|absolu|assoluta|absoluta)\.?[)\s]*$"), "absolute"),
    (re.compile(r"[\s_,(]*(?:gauge|gage|rel|relative|relativ|überdruck|ueberdruck|boost)\.?[)\s]*$"), "gauge"),
    (re.compile(r"(?<=[a-z])[\s_]*\(\s*a\s*\)$"), "absolute"),
    (re.compile(r"(?<=[a-z])[\s_]*\(\s*g\s*\)$"), "gauge"),
)
_ANGLE_TAIL = re.compile(
    r"^(.*?)[\s_]*(?:\(?\s*(?:btdc|atdc|ca|crank|crk|kw|bdc|v\.?\s?ot|vot|pmh|before tdc|adv)\s*\)?)$"
)
_STRICT_NO = frozenset(
    "a c f g h k l m s v w at d in 1 - kw ch cv pk km hk on/off state flag gear ratio count index factor raw bits bit boost"
    " load kg second min none ps grad grams hours minutes lambda afr kp la ma mm cc ppm bool f° c° counts hex rpm".split()
)


def folded(text: str) -> str:
    """Small letters without accents; sharp s and slashed letters written out."""
    text = text.replace("ß", "ss").replace("ø", "o").replace("Ø", "o").replace("ł", "l").replace("Ł", "l")
    plain = unicodedata.normalize("NFKD", text)
    return "".join(letter for letter in plain if not unicodedata.combining(letter)).lower()


def _table() -> dict[str, UnitWord]:
    return {
        spelling: UnitWord(kind, unit) for (kind, unit), words in _SPELLINGS.items() for spelling in words.split()
    }


_TABLE = _table()
_GAUGE_LETTERS = {f"{u}{s}": (u, b) for u in ("psi", "bar", "mbar", "kpa", "hpa") for s, b in (("g", "gauge"), ("a", "absolute"))}


@lru_cache(maxsize=4096)
def find_unit(text: str, strict: bool = False) -> UnitWord | None:
    """What a spelling means as a unit; None where it is none.

    strict  True where the text may as well be the last word of a name: spellings that are words or single letters
            are then refused
    """
    clean = text.strip()
    while clean[:1] in ("[", "(", "{") and clean[-1:] in ("]", ")", "}"):
        clean = clean[1:-1].strip()
    clean = re.sub(r"\s+", " ", clean.replace("�", "°").replace("\u00c2°", "°")).lower()
    if not clean or len(clean) > 24:
        return None
    if strict and clean in _STRICT_NO:
        return None
    found = _look_up(clean)
    if found is not None:
        return found
    for pattern, basis in _BASES:
        match = pattern.search(clean)
        if match and match.start() > 0:
            inner = _look_up(clean[: match.start()].strip(" _,"))
            if inner is not None and inner.kind == "pressure":
                return UnitWord(inner.kind, inner.unit, basis)
    if clean in _GAUGE_LETTERS:
        unit, basis = _GAUGE_LETTERS[clean]
        return UnitWord("pressure", _TABLE[unit].unit, basis)
    match = _ANGLE_TAIL.match(clean)
    if match and (not match.group(1) or _look_up(match.group(1).strip()) == UnitWord("angle", "deg")):
        return None if strict and not match.group(1) else UnitWord("angle", "deg")
    return None


def _look_up(clean: str) -> UnitWord | None:
    for form in (clean, clean.replace(" ", "_"), clean.replace(" ", ""), clean.replace("deg ", "deg"), folded(clean)):
        if form in _TABLE:
            return _TABLE[form]
    return None
