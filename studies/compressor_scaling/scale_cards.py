"""Make the scaled compressor cards of the library from the measured ones, by similarity.

Run from the top folder: ``python studies/compressor_scaling/scale_cards.py``. Tip speed is kept, so the
pressure ratio
and the efficiency stay; flow goes with the square of the wheel's diameter, shaft speed with its inverse.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

from boostwright.cards.card import Card
from boostwright.cards.reader import read_card
from boostwright.physics.turbo.compressor_similarity import scaled_flow, scaled_speed

LIBRARY = Path(__file__).resolve().parents[2] / "src" / "boostwright" / "library" / "compressor"
SIZES_MM = {
    "cc3-vaneless": (45, 52, 60, 68, 76, 88, 100, 112, 124),
    "hecc-vaneless": (52, 60, 68, 76, 88, 100, 112, 124),
    "eckardt-o": (45, 52, 60, 68, 76, 84, 92, 100),
}
SHORT = {"cc3-vaneless": "cc3", "hecc-vaneless": "hecc", "eckardt-o": "eckardt"}

CAVEAT = (
    "No such machine was ever measured. Similarity leaves out that a small wheel loses more: running clearance "
    "and roughness do not shrink with the wheel, and the Reynolds number falls. Expect several points less "
    "efficiency than shown, and with it less pressure ratio at the same speed; loss_factor in a card of your own "
    "says how much."
)
CARD = """\
# Made by studies/compressor_scaling/scale_cards.py; change that, not this file.
kind = "compressor"
schema_version = 1
name = "{name}"
source = "card {parent}, scaled by similarity (tip speed kept). The original: {source}"
licence = "{licence}"
status = "scaled"
notes = "{caveat} {notes}"

[compressor]
reference_pressure = "101325 Pa absolute"
reference_temperature = "288.15 K"
wheel_diameter = "{diameter} mm"
tip_speed_limit = "{limit:.0f} m/s"
scaled_from = "{parent}"
scale = {scale:.6f}

[provenance.tip_speed_limit]
source = "tip speed of the highest speed line of the original: the map says nothing beyond it"
status = "scaled"

[table]
file = "{name}.csv"
"""


def scaled_card(parent: Card, diameter_mm: int) -> tuple[str, str, str]:
    """Name, card text and table text of a copy of ``parent`` with another wheel diameter [mm]."""
    scale = diameter_mm * 1e-3 / parent.si("wheel_diameter")
    name = f"scaled-{SHORT[parent.name]}-{diameter_mm}mm"
    columns = parent.columns
    speed = scaled_speed(columns["corrected_speed"], scale) * 30.0 / np.pi
    flow = scaled_flow(columns["corrected_flow"], scale)
    lines = columns.get("line")
    rows = ["corrected_speed,corrected_flow,pressure_ratio,efficiency", "rpm,kg/s,-,-"]
    if lines is not None:
        rows = ["line," + rows[0], "," + rows[1]]
    for i in range(speed.size):
        row = f"{speed[i]:.1f},{flow[i]:.6f},{columns['pressure_ratio'][i]:g},{columns['efficiency'][i]:g}"
        rows.append(row if lines is None else f"{int(lines[i])},{row}")
    header = parent.header
    text = CARD.format(
        name=name,
        caveat=CAVEAT,
        parent=parent.name,
        source=header.source,
        licence=header.licence,
        notes=header.notes,
        diameter=diameter_mm,
        limit=parent.si("tip_speed_limit"),
        scale=scale,
    )
    return name, text, "\n".join(rows) + "\n"


def main() -> None:
    """Write all scaled cards."""
    for parent, sizes in SIZES_MM.items():
        card = read_card(LIBRARY / f"{parent}.toml", "compressor")
        for size in sizes:
            name, text, table = scaled_card(card, size)
            (LIBRARY / f"{name}.toml").write_text(text, encoding="utf-8")
            (LIBRARY / f"{name}.csv").write_text(table, encoding="utf-8")


if __name__ == "__main__":
    main()
