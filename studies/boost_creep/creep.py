"""Boost creep from the takeoff alone, and how far steady junction loss carries the case the trade tells.

    .venv/bin/python studies/boost_creep/creep.py

writes angles.csv, pull.csv, practice.csv, slope.csv and guesses.csv here, the tables of README.md and of
docs/explain/boost-creep.md, and the picture of that page. Nothing in the solver knows of creep: the takeoff angle is
the only thing that is changed.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence
from pathlib import Path

import numpy as np
from scipy.optimize import brentq

from boostwright.solve.operating_point import Prediction
from boostwright.tasks.predict import predict

HERE = Path(__file__).resolve().parent
ROOT = HERE.parent.parent
PAGES = (HERE / "README.md", ROOT / "docs" / "explain" / "boost-creep.md")
PICTURE = ROOT / "docs" / "pictures" / "boost-creep.png"

PSI = 6894.757293168
RPM = np.pi / 30.0
SPEEDS = np.arange(3000.0, 6501.0, 250.0) * RPM
LAST = (6500.0 * RPM,)
RELATIONS = ("hager-bassett", "gardel", "idelchik")
IN_LINE, BACK_FACING = 30.0, 150.0
ANGLES = (30.0, 90.0, 135.0, 150.0, 180.0)
COLLECTORS = (44.0, 46.0, 48.0, 50.0)
PRACTICE_START, PRACTICE_END = (5.0, 7.0), (14.0, 14.5, 15.0)


def pull(*settings: str, speeds: Sequence[float] | None = None) -> Prediction:
    """The study's build on its spring alone, some keys changed."""
    return predict(HERE / "build", settings=settings, speeds=SPEEDS if speeds is None else speeds)


def takeoff(angle: float, relation: str) -> tuple[str, str]:
    return f"wastegate.takeoff_angle={angle:g} deg", f"wastegate.takeoff_relation={relation}"


def knee(prediction: Prediction) -> float:
    """Engine speed [rpm] above which the valve stands at full lift, nan where it never does."""
    found = next(remark.value for remark in prediction.remarks if remark.code == "gate-knee")
    return float("nan") if found is None else found / RPM


def angle_row(relation: str, angle: float) -> dict[str, object]:
    p = pull(*takeoff(angle, relation))
    boost = p["boost"] / PSI
    return {
        "relation": relation,
        "angle_deg": angle,
        "boost_start_psi": boost[0],
        "boost_most_psi": boost.max(),
        "boost_end_psi": boost[-1],
        "knee_rpm": knee(p),
        "recovery_start": p["takeoff_recovery"][0],
        "recovery_end": p["takeoff_recovery"][-1],
        "loss_coefficient_end": p["takeoff_loss"][-1],
        "collector_head_end_kpa": p["collector_head"][-1] / 1e3,
        "choke_margin_end": p["choke_margin"][-1],
    }


def angles() -> list[dict[str, object]]:
    """Every relation at every angle; Gardel's loss is infinite at 180 degrees."""
    cases = [(r, a) for r in RELATIONS for a in ANGLES if not (r == "gardel" and a > 170.0)]
    return [angle_row(*case) for case in cases]


def pulls() -> list[dict[str, object]]:
    """Boost along the pull, in the line of flow and facing back."""
    both = {angle: pull(*takeoff(angle, RELATIONS[0])) for angle in (IN_LINE, BACK_FACING)}
    return [
        {
            "speed_rpm": speed / RPM,
            **{
                f"{name}_{angle:.0f}deg": both[angle][quantity][i] / unit
                for angle in both
                for name, quantity, unit in (
                    ("boost_psi", "boost", PSI),
                    ("lift_mm", "gate_lift", 1e-3),
                    ("gate_share", "gate_flow_share", 1.0),
                    ("recovery", "takeoff_recovery", 1.0),
                    ("drive_pressure_ratio", "drive_pressure_ratio", 1.0),
                )
            },
        }
        for i, speed in enumerate(SPEEDS)
    ]


def _end(collector: float, *settings: str) -> tuple[float, float]:
    """Boost [psi] and takeoff recovery at the end of the pull."""
    p = pull(f"exhaust_manifold.collector_bore={collector:g} mm", *settings, speeds=LAST)
    return float(p["boost"][0] / PSI), float(p["takeoff_recovery"][0])


def loss_for(collector: float, boost: float) -> float:
    """The takeoff loss coefficient with which the pull ends at a boost [psi]."""

    def short_of(loss: float) -> float:
        end = _end(collector, f"wastegate.takeoff_loss={loss:.9f}")[0]
        # with no steady state left the wheel has run away: more boost than any that was asked for
        return end - boost if np.isfinite(end) else 1e3

    return float(brentq(short_of, 0.0, 8.0, xtol=1e-6))


def practice() -> list[dict[str, object]]:
    """What 14.5 psi at the end asks for, and what each relation gives, over collector bores."""
    rows: list[dict[str, object]] = []
    middle = PRACTICE_END[1]
    for collector in COLLECTORS:
        bore = f"exhaust_manifold.collector_bore={collector:g} mm"
        loss = loss_for(collector, middle)
        whole = pull(bore, f"wastegate.takeoff_loss={loss:.9f}")
        needed = float(whole["takeoff_recovery"][-1])
        for relation in RELATIONS:
            line_boost, line = _end(collector, *takeoff(IN_LINE, relation))
            for angle in (BACK_FACING, 180.0):
                if relation == "gardel" and angle > 170.0:
                    continue
                boost, recovery = _end(collector, *takeoff(angle, relation))
                rows.append(
                    {
                        "collector_mm": collector,
                        "loss_needed": loss,
                        "recovery_needed": needed,
                        "boost_start_needed_psi": whole["boost"][0] / PSI,
                        "relation": relation,
                        "angle_deg": angle,
                        "recovery_in_line": line,
                        "recovery": recovery,
                        "boost_end_psi": boost,
                        "share_of_recovery_explained": (line - recovery) / (line - needed),
                        "share_of_boost_explained": (boost - line_boost) / (middle - line_boost),
                    }
                )
    return rows


def slope() -> list[dict[str, object]]:
    """Boost at the end against recovery, by the loss coefficient alone, at the study's own collector."""
    rows: list[dict[str, object]] = []
    for loss in (0.0, 0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 3.5, 4.0):
        near = [
            _end(COLLECTORS[0], f"wastegate.takeoff_loss={k:.6f}") for k in (loss - 0.02, loss, loss + 0.02)
        ]
        rows.append(
            {
                "loss_coefficient": loss,
                "recovery": near[1][1],
                "boost_end_psi": near[1][0],
                "psi_per_hundredth_of_recovery": 0.01 * (near[2][0] - near[0][0]) / (near[2][1] - near[0][1]),
            }
        )
    return rows


DISCHARGE = ("wastegate.discharge_coefficient", "wastegate.seat_discharge_coefficient")
GUESSES = (
    ("as the build says", ()),
    (
        "discharge coefficients 0.65",
        ("wastegate.discharge_coefficient=0.65", "wastegate.seat_discharge_coefficient=0.65"),
    ),
    (
        "discharge coefficients 0.80",
        ("wastegate.discharge_coefficient=0.80", "wastegate.seat_discharge_coefficient=0.80"),
    ),
    ("spark as early as is best, 8 deg", ("spark.set_by=best-torque",)),
    ("half burned at 14 deg", ("spark.phasing=14 deg",)),
    ("turbine swallows 10 % less", ("turbine.choked_flow=0.0225 kg/s*sqrt(K)/kPa",)),
    ("turbine swallows 10 % more", ("turbine.choked_flow=0.0275 kg/s*sqrt(K)/kPa",)),
    ("turbine peak efficiency 0.63", ("turbine.efficiency_peak=0.63",)),
    ("head force lost with lift 0.2", ("wastegate.head_force_fall=0.2",)),
    ("head force lost with lift 0.7", ("wastegate.head_force_fall=0.7",)),
    ("branch bend loss 1.0", ("wastegate.branch_bend_loss=1.0",)),
)


def guesses() -> list[dict[str, object]]:
    """How far the guesses of the build move the result, in the line of flow and facing back."""
    rows: list[dict[str, object]] = []
    for words, settings in GUESSES:
        line, back = (pull(*takeoff(angle, RELATIONS[0]), *settings) for angle in (IN_LINE, BACK_FACING))
        rows.append(
            {
                "guess": words,
                "in_line_end_psi": line["boost"][-1] / PSI,
                "back_facing_start_psi": back["boost"][0] / PSI,
                "back_facing_end_psi": back["boost"][-1] / PSI,
                "knee_rpm": knee(back),
            }
        )
    return rows


TABLES = {"angles": angles, "pull": pulls, "practice": practice, "slope": slope, "guesses": guesses}


def write(name: str, rows: list[dict[str, object]]) -> None:
    with (HERE / f"{name}.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]), lineterminator="\n")
        writer.writeheader()
        for row in rows:
            writer.writerow({k: f"{v:.5g}" if isinstance(v, float) else v for k, v in row.items()})


def read(name: str) -> list[dict[str, str]]:
    with (HERE / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def _table(head: str, lines: list[list[str]]) -> str:
    columns = head.count("|") + 1
    rows = ["| " + head + " |", "|" + "---|" * columns, *("| " + " | ".join(line) + " |" for line in lines)]
    return "\n".join(rows)


def _f(text: str, digits: int) -> str:
    return "never" if text == "nan" else f"{float(text):.{digits}f}"


def rendered() -> dict[str, str]:
    """The tables of the pages by the name of their place, made from the CSV files."""
    shown = {
        "angles": {
            "relation": ("relation", None),
            "angle": ("angle_deg", 0),
            "start, psi": ("boost_start_psi", 1),
            "end, psi": ("boost_end_psi", 1),
            "knee, rpm": ("knee_rpm", 0),
            "recovery, start": ("recovery_start", 2),
            "recovery, end": ("recovery_end", 2),
            "K at the end": ("loss_coefficient_end", 2),
        },
        "practice": {
            "collector, mm": ("collector_mm", 0),
            "recovery needed": ("recovery_needed", 2),
            "K needed": ("loss_needed", 2),
            "relation": ("relation", None),
            "angle": ("angle_deg", 0),
            "recovery it gives": ("recovery", 2),
            "end, psi": ("boost_end_psi", 1),
            "of the recovery explained": ("share_of_recovery_explained", 2),
            "of the boost explained": ("share_of_boost_explained", 2),
        },
        "slope": {
            "K": ("loss_coefficient", 1),
            "recovery": ("recovery", 2),
            "end, psi": ("boost_end_psi", 1),
            "psi for 0.01 more recovery": ("psi_per_hundredth_of_recovery", 2),
        },
        "guesses": {
            "changed": ("guess", None),
            "in the line of flow, end, psi": ("in_line_end_psi", 1),
            "facing back, start, psi": ("back_facing_start_psi", 1),
            "facing back, end, psi": ("back_facing_end_psi", 1),
            "knee, rpm": ("knee_rpm", 0),
        },
    }
    return {
        name: _table(
            " | ".join(columns),
            [
                [row[key] if digits is None else _f(row[key], digits) for key, digits in columns.values()]
                for row in read(name)
            ],
        )
        for name, columns in shown.items()
    }


def filled(text: str) -> str:
    """A page with its tables put in anew, each between its two comments."""
    for name, table in rendered().items():
        place = re.compile(rf"(<!-- {name} -->\n).*?(<!-- end {name} -->)", re.DOTALL)
        text = place.sub(lambda match, table=table: match[1] + table + "\n" + match[2], text)
    return text


def draw() -> None:
    import matplotlib

    matplotlib.use("Agg")
    import matplotlib.pyplot as plt

    rows = read("pull")
    speed = [float(r["speed_rpm"]) for r in rows]
    figure, (upper, lower) = plt.subplots(2, 1, sharex=True, figsize=(7.0, 6.0), layout="constrained")
    styles = ((IN_LINE, "#0072b2", "-", "o"), (BACK_FACING, "#d55e00", "--", "s"))
    for angle, colour, line, marker in styles:
        words = "in the line of flow" if angle == IN_LINE else "facing back"
        label = f"{angle:.0f} degrees, {words}"
        for axes, name in ((upper, "boost_psi"), (lower, "lift_mm")):
            values = [float(r[f"{name}_{angle:.0f}deg"]) for r in rows]
            axes.plot(speed, values, line, color=colour, marker=marker, markersize=4, label=label)
    row = next(
        r for r in read("angles") if r["relation"] == RELATIONS[0] and float(r["angle_deg"]) == BACK_FACING
    )
    knee_rpm = float(row["knee_rpm"])
    for axes in (upper, lower):
        axes.axvline(knee_rpm, color="0.4", linewidth=0.8, linestyle=":")
        axes.grid(color="0.9")
        axes.set_ylim(bottom=0.0)
    upper.annotate(
        f"full lift from {knee_rpm:.0f} rpm", (knee_rpm, 1.0), (-6, 0), textcoords="offset points", ha="right"
    )
    upper.set_ylabel("boost on the spring alone, psi gauge")
    lower.set_ylabel("lift of the valve, mm")
    lower.set_xlabel("engine speed, rpm")
    upper.legend(loc="upper left", frameon=False)
    upper.set_title("The takeoff angle is all that differs (invented engine)", fontsize=10)
    PICTURE.parent.mkdir(exist_ok=True)
    figure.savefig(PICTURE, dpi=110, metadata={"Software": None})
    plt.close(figure)


def main() -> None:
    for name, made in TABLES.items():
        write(name, made())
    draw()
    for page in PAGES:
        if page.exists():
            page.write_text(filled(page.read_text(encoding="utf-8")), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
