"""What a weather factor makes of a boosted engine at altitude, beside what the engine itself does.

    .venv/bin/python studies/power_correction/altitude.py

writes altitude.csv here, the table of README.md and of docs/explain/power-correction.md, and the picture of that page.
The example estate stands in dry standard atmosphere (ISO 2533) at each altitude. Nothing in the model knows of a
correction: the factor called model is the power predicted in the reference air over the power at the altitude.
"""

from __future__ import annotations

import csv
import re
from pathlib import Path

import numpy as np

from boostwright.build import read_build
from boostwright.components.weather_correction import factor_by_name
from boostwright.physics.gas.standard_atmosphere import standard_pressure, standard_temperature
from boostwright.tasks.predict import predict

HERE = Path(__file__).resolve().parent
ROOT = HERE.parent.parent
BUILD = ROOT / "examples" / "hill_climb_estate"
PAGES = (HERE / "README.md", ROOT / "docs" / "explain" / "power-correction.md")
PICTURE = ROOT / "docs" / "pictures" / "power-correction.png"
ALTITUDES = np.arange(0.0, 3001.0, 250.0)
SPEEDS = np.arange(3000.0, 6001.0, 500.0) * np.pi / 30.0


def air(altitude: float) -> tuple[str, ...]:
    """Settings that put the build into dry standard atmosphere."""
    return (
        f"ambient.altitude={altitude:g} m",
        f"ambient.pressure={float(standard_pressure(altitude))!r} Pa",
        "ambient.pressure_basis=station",
        f"ambient.temperature={float(standard_temperature(altitude))!r} K",
        "ambient.relative_humidity=0",
    )


def row(altitude: float) -> dict[str, float | str]:
    """Factors at one altitude; of the model the mean over the speeds, and its ends."""
    ambient = read_build(BUILD, air(altitude))["ambient"]
    found: dict[str, float | str] = {
        "altitude_m": altitude,
        "pressure_kpa": ambient.si("pressure") / 1e3,
        "temperature_degc": ambient.si("temperature") - 273.15,
    }
    for name in ("sae-j1349", "iso-1585", "din-70020"):
        factor = factor_by_name(name, ambient)
        found[name] = factor.factor
        found[f"{name}_counts"] = "no" if factor.invalid else "yes"
    for mode in ("spring", "target"):
        run = predict(
            BUILD, mode=mode, settings=(*air(altitude), "power_correction.method=model"), speeds=SPEEDS
        )
        model = run["power_correction_factor"]
        found[f"model_{mode}"] = float(np.mean(model))
        found[f"model_{mode}_least"] = float(np.min(model))
        found[f"model_{mode}_most"] = float(np.max(model))
    return found


def write(rows: list[dict[str, float | str]]) -> None:
    with (HERE / "altitude.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]), lineterminator="\n")
        writer.writeheader()
        for found in rows:
            writer.writerow({k: f"{v:.6g}" if isinstance(v, float) else v for k, v in found.items()})


def read() -> list[dict[str, str]]:
    with (HERE / "altitude.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def table() -> str:
    """Every second altitude; a factor in brackets does not count by its own standard."""
    lines = [
        "| altitude, m | air, kPa and degC | SAE J1349 | ISO 1585 | model, spring | model, target |",
        "|---|---|---|---|---|---|",
    ]
    for found in read()[::2]:
        by_name = []
        for name in ("sae-j1349", "iso-1585"):
            text = f"{float(found[name]):.3f}"
            by_name.append(text if found[f"{name}_counts"] == "yes" else f"({text})")
        weather = f"{float(found['pressure_kpa']):.1f}, {float(found['temperature_degc']):.1f}"
        model = [f"{float(found[f'model_{mode}']):.3f}" for mode in ("spring", "target")]
        lines.append(
            "| " + " | ".join([f"{float(found['altitude_m']):.0f}", weather, *by_name, *model]) + " |"
        )
    return "\n".join(lines)


def filled(text: str) -> str:
    """A page with its table put in anew, between its two comments."""
    place = re.compile(r"(<!-- altitude -->\n).*?(<!-- end altitude -->)", re.DOTALL)
    return place.sub(lambda match: match[1] + table() + "\n" + match[2], text)


def draw() -> None:
    import matplotlib

    matplotlib.use("Agg")
    import matplotlib.pyplot as plt

    rows = read()
    altitude = np.array([float(r["altitude_m"]) for r in rows])
    figure, axes = plt.subplots(figsize=(7.0, 4.6), layout="constrained")
    for name, words, colour, marker in (
        ("sae-j1349", "SAE J1349", "#d55e00", "s"),
        ("iso-1585", "ISO 1585", "#cc79a7", "^"),
    ):
        factor = np.array([float(r[name]) for r in rows])
        counts = np.array([r[f"{name}_counts"] == "yes" for r in rows])
        axes.plot(altitude, factor, "--", color=colour, linewidth=1.0)
        axes.plot(
            altitude[~counts], factor[~counts], marker, color=colour, markerfacecolor="white", markersize=5
        )
        axes.plot(altitude[counts], factor[counts], marker, color=colour, markersize=5)
        axes.plot([], [], f"--{marker}", color=colour, markersize=5, label=f"{words}, from the air alone")
    for mode, words, colour in (
        ("spring", "model, on its 0.6 bar spring", "#0072b2"),
        ("target", "model, absolute target held", "#009e73"),
    ):
        axes.plot(altitude, [float(r[f"model_{mode}"]) for r in rows], "-", color=colour, label=words)
        ends = [[float(r[f"model_{mode}_{end}"]) for r in rows] for end in ("least", "most")]
        axes.fill_between(altitude, *ends, color=colour, alpha=0.2, linewidth=0.0)
    axes.axhline(1.0, color="0.4", linewidth=0.8, linestyle=":")
    axes.grid(color="0.9")
    axes.set_xlabel("altitude in standard atmosphere, m")
    axes.set_ylabel("factor on power, to 25 degC and 99 kPa dry")
    axes.legend(loc="upper left", frameon=False, title="hollow: not valid by the standard", fontsize=9)
    axes.set_title("What the weather factor adds, and what the engine lost (invented estate)", fontsize=10)
    PICTURE.parent.mkdir(exist_ok=True)
    figure.savefig(PICTURE, dpi=110, metadata={"Software": None})
    plt.close(figure)


def main() -> None:
    write([row(altitude) for altitude in ALTITUDES])
    draw()
    for page in PAGES:
        page.write_text(filled(page.read_text(encoding="utf-8")), encoding="utf-8")


if __name__ == "__main__":
    main()
