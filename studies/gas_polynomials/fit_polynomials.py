"""Caloric polynomials of the seven species: two ranges of five coefficients each, as the solver wants them.

Nitrogen and oxygen are fitted here to the nine-coefficient data of NASA TP-2002-211556, which five coefficients over
1000 to 6000 K cannot follow (the older seven-coefficient set is 0.2 % low in cp at 1000 to 1300 K, where exhaust gas
lives). The other species are taken as GRI-Mech 3.0 carries them. Both are read in data files of Cantera 3.2.

    python studies/gas_polynomials/fit_polynomials.py        prints the table of src/boostwright/physics/gas/species.py
"""

from __future__ import annotations

import cantera
import numpy as np

SPECIES = ("N2", "O2", "Ar", "CO2", "H2O", "CO", "H2")
COLD, REFERENCE, MIDDLE, TOP = 220.0, 298.15, 1000.0, 3500.0
R = cantera.gas_constant


def fitted(thermo: object, low: float, high: float) -> np.ndarray:
    """cp/R as a quartic over low..high, least squares, exact at the middle temperature so that the ranges meet."""
    t = np.linspace(low, high, 400)
    cp = np.array([thermo.cp(x) for x in t]) / R
    basis = np.stack([t**k - MIDDLE**k for k in range(1, 5)], axis=-1)
    middle = thermo.cp(MIDDLE) / R
    scale = np.array([MIDDLE**k for k in range(1, 5)])
    # compressed air is most of what the cold range is asked for, exhaust of the hot one: they weigh more
    asked = ((t > 235.0) & (t < 480.0)) | ((t > 1000.0) & (t < 1600.0))
    weight = np.where(asked, 3.0, 1.0)[:, None]
    slopes = np.linalg.lstsq(basis / scale * weight, (cp - middle) * weight[:, 0], rcond=None)[0] / scale
    first = middle - sum(slopes[k - 1] * MIDDLE**k for k in range(1, 5))
    return np.array([first, *slopes])


def with_constants(cp: np.ndarray, thermo: object, at: float, enthalpy: float, entropy: float) -> np.ndarray:
    """Add the constants that give the enthalpy (over R) and entropy (over R) at a temperature."""
    h = sum(cp[k] * at ** (k + 1) / (k + 1) for k in range(5))
    s = cp[0] * np.log(at) + sum(cp[k] * at**k / k for k in range(1, 5))
    return np.array([*cp, enthalpy - h, entropy - s])


def enthalpy(c: np.ndarray, t: float) -> float:
    return float(sum(c[k] * t ** (k + 1) / (k + 1) for k in range(5)) + c[5])


def entropy(c: np.ndarray, t: float) -> float:
    return float(c[0] * np.log(t) + sum(c[k] * t**k / k for k in range(1, 5)) + c[6])


def table() -> np.ndarray:
    nine = {s.name: s.thermo for s in cantera.Species.list_from_file("airNASA9.yaml")}
    gri = {s.name: s.thermo for s in cantera.Species.list_from_file("gri30.yaml")}
    rows = []
    for name in SPECIES:
        if name in ("N2", "O2"):
            thermo = nine[name]
            low = with_constants(
                fitted(thermo, COLD, MIDDLE),
                thermo,
                REFERENCE,
                thermo.h(REFERENCE) / R,
                thermo.s(REFERENCE) / R,
            )
            high = with_constants(
                fitted(thermo, MIDDLE, TOP), thermo, MIDDLE, enthalpy(low, MIDDLE), entropy(low, MIDDLE)
            )
            rows.append([low, high])
            continue
        coefficients = gri["AR" if name == "Ar" else name].coeffs  # middle, then high and low range
        rows.append([coefficients[8:15], coefficients[1:8]])
    return np.array(rows)


def main() -> None:
    coefficients = table()
    for name, (low, high) in zip(SPECIES, coefficients, strict=True):
        print(f"    [  # {name}")
        for row in (low, high):
            print("        [" + ", ".join(f"{x:.9g}" for x in row[:5]) + ",")
            print(f"         {row[5]:.9g}, {row[6]:.9g}],")
        print("    ],")
    print("largest error of the fits against the nine-coefficient data, % of cp:")
    nine = {s.name: s.thermo for s in cantera.Species.list_from_file("airNASA9.yaml")}
    for k, name in enumerate(("N2", "O2")):
        for t_range, row in (
            ((280.0, 480.0), 0),
            ((480.0, 1000.0), 0),
            ((1000.0, 1600.0), 1),
            ((1600.0, 3500.0), 1),
        ):
            t = np.linspace(*t_range, 200)
            own = sum(coefficients[k, row, j] * t**j for j in range(5))
            true = np.array([nine[name].cp(x) for x in t]) / R
            print(f"  {name} {t_range[0]:.0f}-{t_range[1]:.0f} K: {100 * np.max(np.abs(own / true - 1)):.3f}")


if __name__ == "__main__":
    main()
