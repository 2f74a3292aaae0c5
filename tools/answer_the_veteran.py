"""Write docs/howto/answer-the-veteran.md: each question, the command that answers it, and what it printed.

The numbers come from running the very commands that stand on the page. A test runs them again.
"""

from __future__ import annotations

import contextlib
import io
import json
import math
import shlex
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))
PAGE = ROOT / "docs" / "howto" / "answer-the-veteran.md"
EXAMPLE = "examples/hill_climb_estate"
RPM = math.pi / 30.0
RPMS = (2500, 3500, 4500, 5500, 6500)
SPEEDS = "2500, 3500, 4500, 5500, 6500 rpm"
HALF = ("wastegate.discharge_coefficient=0.36", "wastegate.seat_discharge_coefficient=0.36")

Document = dict[str, Any]


def arguments(*settings: str, mode: str = "", speeds: str = SPEEDS) -> list[str]:
    """Arguments of one prediction of the example."""
    command = ["predict", EXAMPLE]
    command += ["--mode", mode] if mode else []
    for setting in settings:
        command += ["--set", setting]
    return [*command, "--speeds", speeds] if speeds else command


def shown(command: Sequence[str]) -> str:
    """The command as one types it."""
    return "    boostwright " + " ".join(shlex.quote(word) if " " in word else word for word in command)


def run(command: Sequence[str]) -> Document:
    """What the command prints with --json -."""
    from boostwright.cli.main import main

    out = io.StringIO()
    here = [str(ROOT / EXAMPLE) if word == EXAMPLE else word for word in command]
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(io.StringIO()):
        main([*here, "--json", "-"])
    document: Document = json.loads(out.getvalue())
    return document


def values(document: Document, name: str, scale: float = 1.0) -> list[float]:
    """A quantity of the document; nan where it prints null."""
    return [math.nan if v is None else v / scale for v in document["quantities"][name]["values"]]


def remark(document: Document, code: str) -> dict[str, Any]:
    """A line about the sweep, by its code."""
    found: dict[str, Any] = next(r for r in document["remarks"] if r["code"] == code)
    return found


def row(name: str, numbers: Sequence[float], digits: int) -> str:
    """One line of a table."""
    cells = ["-" if math.isnan(n) else f"{n:.{digits}f}" for n in numbers]
    return f"| {name} | " + " | ".join(cells) + " |"


def head(first: str, columns: Sequence[str]) -> list[str]:
    """The first two lines of a table."""
    return [f"| {first} | " + " | ".join(columns) + " |", "|---" * (len(columns) + 1) + "|"]


def speed_head(first: str = "engine speed, rpm") -> list[str]:
    """A table over the speeds of the page."""
    return head(first, ["2500", "3500", "4500", "5500", "6500"])


def question_1() -> list[str]:
    """Creep floor of half a gate."""
    whole, half = arguments(mode="gate-open"), arguments(*HALF, mode="gate-open")
    a, b = (values(run(command), "boost", 1e3) for command in (whole, half))
    return [
        "## 1 Does boost rise by itself when I halve the gate's effective area, and by how much?",
        "\n".join((shown(whole), shown(half))),
        "\n".join(
            [
                *speed_head(),
                row("creep floor, kPa gauge", a, 1),
                row("with half the area", b, 1),
                row("rise", [y - x for x, y in zip(a, b, strict=True)], 1),
            ]
        ),
        "Yes, and the more gas there is the more: nothing but the two discharge coefficients was touched.",
    ]


def question_2() -> list[str]:
    """Housings small to large."""
    sizes = ("0.016", "0.020", "0.025", "0.030", "0.060")
    commands = [arguments(f"turbine.choked_flow={size} kg/s*sqrt(K)/kPa") for size in sizes]
    documents = [run(command) for command in commands]
    starts = [(remark(d, "threshold")["value"] or math.nan) / RPM for d in documents]
    at = 3  # 5500 rpm
    return [
        "## 2 Shrink the housing: do threshold, drive ratio and gate flow move the right way together?",
        shown(commands[0]),
        "and so on with the other sizes (the build has 0.025); at 5500 rpm unless it says otherwise:",
        "\n".join(
            [
                *head("choked flow, kg/s sqrt(K)/kPa", sizes),
                row("threshold, rpm", starts, 0),
                row(
                    "drive-pressure ratio, absolute",
                    [values(d, "drive_pressure_ratio")[at] for d in documents],
                    2,
                ),
                row(
                    "gate's share of the gas, %",
                    [values(d, "gate_flow_share", 0.01)[at] for d in documents],
                    0,
                ),
                row("power, kW", [values(d, "power", 1e3)[at] for d in documents], 1),
                row("power at 3500 rpm, kW", [values(d, "power", 1e3)[1] for d in documents], 1),
            ]
        ),
        "A smaller housing comes in earlier, drives the exhaust pressure up and sends more past the turbine. It costs "
        "power at the top as long as both hold the target; a far too large one loses it at 3500 rpm, where it cannot.",
    ]


def question_3() -> list[str]:
    """A gate that never opens."""
    command = arguments(mode="gate-shut", speeds="1500, 2000, 2500, 3000, 3500, 5000 rpm")
    d = run(command)
    lines = head("engine speed, rpm", ["outcome"])
    for speed, outcome, shaft in zip(
        values(d, "engine_speed", RPM), d["outcomes"], values(d, "shaft_speed", RPM), strict=True
    ):
        words = (
            f"steady, shaft {shaft:.0f} rpm"
            if outcome["solved"]
            else f"{outcome['reason']}: {outcome['message']}"
        )
        lines.append(f"| {speed:.0f} | {words} |")
    return [
        "## 3 Weld the gate shut: runaway, or a tidy number?",
        shown(command),
        "\n".join(lines),
        f"{remark(d, 'runs-away')['message'].capitalize()}. Where there is no steady state the table has no number, "
        "and the command ends with a code of its own.",
    ]


def question_4() -> list[str]:
    """Residuals."""
    command = arguments(speeds="")
    d = run(command)
    share = d["constants"]["shaft_mechanical_efficiency"]["values"][0]
    wheel, taken = values(d, "turbine_power"), values(d, "compressor_power")
    worst = max(abs(share * a / b - 1.0) for a, b in zip(wheel, taken, strict=True) if not math.isnan(a))
    residual = max(o["residual"] for o in d["outcomes"] if o["solved"])
    bound = 10.0 ** math.ceil(math.log10(max(worst, residual, 1e-12)))
    return [
        "## 4 Is turbine power compressor power plus losses at every printed point?",
        shown([*command, "--json", "-"]),
        f"Every point carries its residual, the largest of its balances. Over the sweep none is above {bound:.0e}, and "
        "turbine power times mechanical efficiency is compressor power to the same degree. A test recomputes mass, "
        "shaft and energy from this output alone, with gas properties from elsewhere.",
    ]


def question_5() -> list[str]:
    """The basis of a ratio."""
    command = arguments()
    d = run(command)
    return [
        "## 5 Is the drive-pressure ratio absolute or gauge, and do you say so?",
        shown(command),
        "\n".join(
            [
                *speed_head(),
                row("`drive_pressure_ratio`, absolute", values(d, "drive_pressure_ratio"), 2),
                row("`drive_pressure_ratio_gauge`", values(d, "drive_pressure_ratio_gauge"), 2),
            ]
        ),
        "Total over total, absolute, unless the name ends in `_gauge`. The axis of the plot and the head of the table "
        "say it too.",
    ]


KNOWN = (
    "breathing.volumetric_efficiency=",
    "breathing.source=known-curve",
    "breathing.known_curve_at=crank",
    "breathing.known_curve_air=din-70020",
    'breathing.known_torque={ speed = [1500, 3000, 4500, 6000, 6750], unit = "rpm", '
    'value = [175, 200, 222, 195, 170], value_unit = "Nm" }',
)
DIN_AIR = (
    "ambient.altitude=",
    "ambient.pressure=101.3 kPa",
    "ambient.temperature=20 degC",
    "ambient.relative_humidity=0",
)


def question_6() -> list[str]:
    """The turbo off."""
    command = arguments(*KNOWN, *DIN_AIR, mode="no-turbo")
    today = arguments(*KNOWN, mode="no-turbo")
    d, there = run(command), run(today)
    known = [float(np.interp(rpm, (1500, 3000, 4500, 6000, 6750), (175, 200, 222, 195, 170))) for rpm in RPMS]
    return [
        "## 6 Take the turbo off: does the model return my NA torque curve within 5 %?",
        shown(command),
        "\n".join(
            [
                *speed_head(),
                row("known curve, Nm", known, 1),
                row("no turbo, in the curve's own air", values(d, "torque"), 1),
                row("no turbo, in today's air", values(there, "torque"), 1),
                row("volumetric efficiency it was turned back into", values(d, "volumetric_efficiency"), 3),
            ]
        ),
        "To rounding: the curve is turned back through this very cycle into volumetric efficiency, with the intake and "
        "exhaust the engine had then, and boost is predicted with that. Asked for: wheel or crank, and the air. What "
        "it cannot know is friction: another relation shifts the one against the other (see friction).",
    ]


def question_13() -> list[str]:
    """The band of the threshold."""
    commands = [
        arguments(),
        arguments(
            "turbine.choked_flow=", "turbine.wheel_diameter=", "turbine.card=invented-turbine-62mm-0.82"
        ),
    ]
    said = [remark(run(command), "threshold")["message"] for command in commands]
    return [
        "## 13 How wide is the band on threshold, and what dominates it?",
        "\n".join(shown(command) for command in commands),
        "\n\n".join("> " + " ".join(text.split()) for text in said),
        "Each doubt is run at both its edges through the whole balance, the shares are combined as a root of squares, "
        "and the largest is named. Most widths are our own estimates, and say so.",
    ]


def question_7() -> list[str]:
    """A choked exhaust."""
    commands = [arguments(), arguments("exhaust.pressure_drop=24 kPa")]
    a, b = (run(command) for command in commands)
    starts = [remark(d, "threshold")["value"] / RPM for d in (a, b)]
    more = [
        y / x
        for x, y in zip(values(a, "drive_pressure_ratio"), values(b, "drive_pressure_ratio"), strict=True)
    ]
    torque = [y / x for x, y in zip(values(a, "torque"), values(b, "torque"), strict=True)]
    return [
        "## 7 Double the back-pressure behind the turbine: what happens, in that order?",
        shown(commands[1]),
        f"Threshold: from {starts[0]:.0f} to {starts[1]:.0f} rpm. Then, at the same boost:",
        "\n".join(
            [
                *speed_head(),
                row("drive-pressure ratio, against before", more, 3),
                row("torque, against before", torque, 3),
            ]
        ),
    ]


def question_8() -> list[str]:
    """A soft spring."""
    soft = ("wastegate.spring_rating=0.5 bar gauge", "boost_control.target=1.5 bar gauge")
    command = arguments(*soft)
    d = run(command)
    binds = [words or "no steady state" for words in d["binding_limit"]]
    warning = next(text for text in d["warnings"] if "spring_rating" in text)
    return [
        "## 8 Give me the wrong spring: is half a bar in a target of one and a half flagged, with the reason?",
        shown(command),
        "The build is warned of before anything is solved:",
        "> spring_rating " + " ".join(warning.rpartition('bar gauge": ')[2].split()),
        "and the balance shows it:",
        "\n".join(
            [
                *speed_head(),
                row("boost, kPa gauge (150 asked)", values(d, "boost", 1e3), 0),
                row("share of the signal left on the diaphragm", values(d, "signal_share"), 2),
                "| what binds | " + " | ".join(binds) + " |",
            ]
        ),
        "The exhaust holds the valve open although the solenoid bleeds the whole signal: *gate-pushed-open*, where no "
        "limit is exceeded beside it.",
    ]


def question_10() -> list[str]:
    """A compressor that does not fit."""
    command = arguments("compressor.card=scaled-cc3-76mm")
    d = run(command)
    codes = [
        sorted({f["code"] for f in flags if f["code"].startswith(("map", "compressor"))})
        for flags in d["flags"]
    ]
    reasons = [
        outcome["reason"] or ", ".join(found) or "inside"
        for outcome, found in zip(d["outcomes"], codes, strict=True)
    ]
    lines = [*speed_head(), row("choke margin, %", values(d, "choke_margin", 0.01), 0)]
    lines.append("| said about the map | " + " | ".join(reasons) + " |")
    return [
        "## 10 Outside the map's edges: extrapolate silently, clamp, or tell me?",
        shown(command),
        "A compressor far too small for this engine:",
        "\n".join(lines),
        "It tells, point by point: below the lowest and above the highest line, right of a line's measured end, left "
        "of the surge line (no steady flow there), and where the wheel only restricts. Nothing is clamped.",
    ]


def question_11() -> list[str]:
    """One map in several units."""
    from tests.laws.test_map_units import HABITS, predictions

    first, *others = predictions()
    worst = max(float(abs(other["boost"] / first["boost"] - 1.0).max()) for other in others)
    bound = 10.0 ** math.ceil(math.log10(max(worst, 1e-15)))
    lines = [*head("unit of the map's flow", ["reference pressure, kPa", "reference temperature, K"])]
    lines += [f"| {unit} | {p / 1e3:.2f} | {t:.2f} |" for unit, p, t, _ in HABITS]
    return [
        "## 11 The same map in lb/min, m3/s and kg/s at three reference temperatures: same answer?",
        "\n".join(lines),
        f"Boost at every speed agrees within {bound:.0e}. Run as `tests/laws/test_map_units.py`, which writes the "
        "cards and compares every quantity.",
    ]


def question_12() -> list[str]:
    """Altitude."""
    target = "boost_control.target=200 kPa absolute"
    commands = [
        arguments(target, f"ambient.pressure={p} kPa", speeds="4000 rpm") for p in ("101.3", "84.6", "75.0")
    ]
    gauge = arguments("boost_control.target=98.7 kPa gauge", "ambient.pressure=75.0 kPa", speeds="4000 rpm")
    cap = arguments("boost_control.target=148 kPa absolute", "ambient.pressure=75.0 kPa", speeds="4000 rpm")
    documents = [run(command) for command in (*commands, gauge, cap)]
    flow = [values(d, "corrected_flow")[0] for d in documents]
    return [
        "## 12 Go to 75 kPa: does corrected flow shift by 1.35, and does a boost cap hold the shaft?",
        "\n".join(shown(command) for command in (commands[0], commands[2], gauge, cap)),
        "\n".join(
            [
                *head(
                    "at 4000 rpm", ["101.3 kPa", "84.6 kPa", "75 kPa", "75 kPa, same gauge", "75 kPa, capped"]
                ),
                row(
                    "manifold pressure, kPa absolute",
                    [values(d, "pressure_im", 1e3)[0] for d in documents],
                    1,
                ),
                row("corrected flow, against the coast", [f / flow[0] for f in flow], 3),
                row("pressure ratio", [values(d, "compressor_pressure_ratio")[0] for d in documents], 2),
                row("shaft speed, rpm", [values(d, "shaft_speed", RPM)[0] for d in documents], 0),
                row("power, kW", [values(d, "power", 1e3)[0] for d in documents], 1),
            ]
        ),
        "The hand sum for an unchanged mass flow gives 1.20 and 1.35; warmer charge takes 1 to 2 % of the mass. A "
        "gauge target gives up power and spares the wheel; a cap in proportion to the barometer keeps it as it was.",
    ]


def question_14() -> list[str]:
    """Forces in the rod beside a calculator's."""
    command = arguments(speeds="3000, 5000, 6750 rpm")
    document = run(command)
    speeds = [3000.0 * RPM, 5000.0 * RPM, 6750.0 * RPM]
    bore, half, rod, mass = 0.083, 0.046, 0.148, 0.310 + 0.092 + 0.025 + 0.3 * 0.55
    area = math.pi / 4.0 * bore**2
    peaks, outside = values(document, "peak_pressure_strong"), values(document, "pressure_amb")
    top = [mass * half * w**2 * (1.0 + half / rod) / 1e3 for w in speeds]
    gas = [(peak - p) * area / 1e3 for peak, p in zip(peaks, outside, strict=True)]
    compression = values(document, "rod_force_compression", 1e3)
    short = [100.0 * (1.0 - (g - t) / found) for g, t, found in zip(gas, top, compression, strict=True)]
    return [
        "## 14 Rod load: do gas and inertia agree with my calculator?",
        shown(command),
        "\n".join(
            [
                *head("engine speed, rpm", ["3000", "5000", "6750"]),
                row("gas, kN", values(document, "rod_force_gas", 1e3), 2),
                row("by hand: (strong peak - air outside) times the piston, kN", gas, 2),
                row(
                    "inertia where the rod is pressed most, kN", values(document, "rod_force_inertia", 1e3), 2
                ),
                row("at that crank angle, deg", values(document, "rod_force_angle", math.pi / 180.0), 1),
                row("by hand at the top: m r w2 (1 + r / l), kN", top, 2),
                row("along the rod, kN", compression, 2),
                row("the calculator, all at the top, is short of it by, %", short, 1),
                row("pull at overlap, throttle shut, kN", values(document, "rod_force_tension", 1e3), 2),
            ]
        ),
        f"Pistons of 310 g, pins of 92 g, rings of 25 g and 0.3 of a rod of 550 g go to and fro: {mass:.3f} kg. Gas "
        "is that of a strong cycle, mean + 3 sigma. The peak stands after the top, where inertia relieves the rod less "
        "and the rod leans: a calculator that puts all at the top finds too little. The 86 mm engine of 58.1 kN gas, "
        "3.0 kN at 3000 rpm and 16.5 kN at 7000 stands on [Slider-crank and rods](../explain/rods.md), to the digit.",
    ]


def question_20() -> list[str]:
    """Corrected power."""
    day = ("ambient.pressure=92 kPa", "ambient.temperature=30 degC", "ambient.relative_humidity=60 %")
    cases = [
        ("spring", "sae-j1349"),
        ("spring", "iso-1585"),
        ("spring", "model"),
        ("target", "sae-j1349"),
        ("target", "model"),
    ]
    asked = [
        arguments(*day, f"power_correction.method={method}", mode=mode, speeds="4500 rpm")
        for mode, method in cases
    ]
    documents = [run(command) for command in asked]
    said = remark(documents[0], "power-correction")["message"].partition(" On boosted")[0]
    return [
        "## 20 Corrected power: which formula, which inputs, and where is the raw figure?",
        "\n".join(shown(command) for command in (asked[0], asked[2])),
        "\n".join(
            [
                *head("at 4500 rpm", [f"{mode}, {method}" for mode, method in cases]),
                row("power, kW, raw", [values(d, "power", 1e3)[0] for d in documents], 1),
                row("factor", [values(d, "power_correction_factor")[0] for d in documents], 4),
                row("power, kW, corrected", [values(d, "power_corrected", 1e3)[0] for d in documents], 1),
            ]
        ),
        f"What the first of them says: {said} The raw figure stands first everywhere and is the same in every column "
        "of its mode. On the spring part of the barometer is made up for, which the model knows and a factor does not. "
        "With the absolute target held the factor by name is 1, and what the model leaves is the warmth and the damp "
        "of the day, and the drive pressure. A dash is a test that the standard itself calls not valid. See [power "
        "correction](../explain/power-correction.md).",
    ]


INTRODUCTION = """\
# Answer the veteran

Somebody who has built turbo engines for thirty years looks at your prediction. Below is what he asks, the command
that answers, and what it prints for the hill-climb example. The page is made by `tools/answer_the_veteran.py`, which
runs these commands; a test runs them again.

A prediction is no proof that an engine will survive: see [cautions](../cautions.md)."""

END = """\
## Asked, and not answered here

Bands on every input, a colder day and a spike (15), gains (19), fits (21, 22), templates and notches (23, 24). Logs
and sensors (16 to 18) have pages of their own: [slow and late channels](align-a-log.md), [which sensors to
trust](trust-a-log.md), [lambda under pressure](../explain/lambda-probe.md). Question 9, taper at the top, is half
answered: *gate-pushed-open* and the share of the signal tell the exhaust forcing the valve, and a lost hose is
`--set boost_control.signal_hose=lost`."""


def page() -> str:
    """The whole page."""
    questions = (
        question_1,
        question_2,
        question_3,
        question_4,
        question_5,
        question_6,
        question_7,
        question_8,
        question_10,
        question_11,
        question_12,
        question_13,
        question_14,
        question_20,
    )
    parts = [INTRODUCTION]
    for question in questions:
        parts += question()
    return "\n\n".join([*parts, END]) + "\n"


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8", newline="\n")
