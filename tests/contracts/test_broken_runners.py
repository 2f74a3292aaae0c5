"""Cylinders apart and the exhaust probe: what cannot be, and what is asked about: line, key, value and remedy."""

from __future__ import annotations

from pathlib import Path

import pytest
from sound_build import SOUND, line_of, write_build

from boostwright.build import check_build, read_build

# name -> (lines added, part of the fault's line, key, words of the message)
REFUSED: dict[str, tuple[str, str, str, tuple[str, ...]]] = {
    "too few shares": (
        "[runners]\nair_share = [1.02, 0.98]",
        "air_share",
        "runners.air_share",
        ("2 values", "5 cylinders", "one a cylinder"),
    ),
    "too many offsets": (
        '[runners]\nphasing_offset = ["0 deg", "0 deg", "0 deg", "0 deg", "0 deg", "1 deg"]',
        "phasing_offset",
        "runners.phasing_offset",
        ("6 values", "5 cylinders"),
    ),
    "shares in per cent": (
        "[runners]\nfuel_share = [102, 100, 100, 100, 98]",
        "fuel_share",
        "runners.fuel_share",
        ("at cylinder 1 is 102", "0.5 to 1.5", "Did you mean 1.02?"),
    ),
    "shares that compare with the best cylinder": (
        "[runners]\nair_share = [1.0, 0.9, 0.95, 0.9, 0.9]",
        "air_share",
        "runners.air_share",
        ("mean of 0.930", "their mean is 1", "Divide each by 0.930"),
    ),
    "one number for all": (
        "[runners]\nair_share = 1.0",
        "air_share",
        "runners.air_share",
        ("no list of values", "a value for each cylinder"),
    ),
    "empty list": ("[runners]\nair_share = []", "air_share", "runners.air_share", ("empty list",)),
    "text among the shares": (
        '[runners]\nair_share = [1.0, "more", 1.0, 1.0, 1.0]',
        "air_share",
        "runners.air_share",
        ("more",),
    ),
    "not a number": (
        "[runners]\nair_share = [1.0, nan, 1.0, 1.0, 1.0]",
        "air_share",
        "runners.air_share",
        ("not a finite number",),
    ),
    "offset without unit": (
        "[runners]\nphasing_offset = [0, 0, 1, 0, 0]",
        "phasing_offset",
        "runners.phasing_offset",
        ("no unit at cylinder 1", '"1 deg"'),
    ),
    "a misspelt key": (
        "[runners]\nair_shares = [1, 1, 1, 1, 1]",
        "air_shares",
        "runners.air_shares",
        ("no key of [runners]", "Did you mean air_share?"),
    ),
    "unknown card": (
        '[probe]\ncard = "thermocouple-k-4mm"',
        'card = "thermocouple-k-4mm"',
        "probe.card",
        ("no sensor card 'thermocouple-k-4mm'", "thermocouple-k-3mm"),
    ),
    "card of another sensor": (
        '[probe]\ncard = "pressure-4bar-absolute"',
        'card = "pressure-4bar-absolute"',
        "probe.card",
        ("sensor for pressure that is no thermocouple", "thermocouple-k-3mm"),
    ),
    "card of a sensor in the intake": (
        '[probe]\ncard = "thermistor-air"',
        'card = "thermistor-air"',
        "probe.card",
        ("is no thermocouple",),
    ),
    "tip in its boss": (
        '[probe]\nprobe_length = "20 mm"\nwall_depth = "22 mm"',
        "probe_length",
        "probe.probe_length",
        ("past the wall", "2 mm short of the gas", "more than 22 mm"),
    ),
    "tip through the far wall": (
        '[probe]\nprobe_length = "80 mm"\nwall_depth = "22 mm"',
        "probe_length",
        "probe.probe_length",
        ("58 mm into a pipe of 50 mm", "far wall"),
    ),
    "tip through the far wall of a runner": (
        '[probe]\nplace = "runner"\nprobe_length = "60 mm"\nwall_depth = "22 mm"',
        "probe_length",
        "probe.probe_length",
        ("38 mm into a pipe of 33.2 mm",),
    ),
    "length without depth": (
        '[probe]\nprobe_length = "40 mm"',
        "",
        "probe.wall_depth",
        ("is missing", "probe_length is given"),
    ),
    "somewhere else": (
        '[probe]\nplace = "downpipe"',
        "place =",
        "probe.place",
        ('"collector", "runner"',),
    ),
}
ASKED: dict[str, tuple[str, str, str, tuple[str, ...]]] = {
    "a mean that is nearly 1": (
        "[runners]\nair_share = [1.02, 1.00, 0.98, 1.00, 1.01]",
        "air_share",
        "runners.air_share",
        ("mean of 1.0020", "each share is divided by it"),
    ),
    "a cylinder that hardly breathes": (
        "[runners]\nair_share = [0.80, 1.05, 1.05, 1.05, 1.05]",
        "air_share",
        "runners.air_share",
        ("at cylinder 1 is 0.8, which is unusual", "0.85 to 1.15"),
    ),
    "shallow tip": (
        '[probe]\nprobe_length = "28 mm"\nwall_depth = "22 mm"',
        "probe_length",
        "probe.probe_length",
        ("6 mm in the gas, 2.0 diameters", "reads the wall"),
    ),
    "depth without length": (
        '[probe]\nwall_depth = "22 mm"',
        "wall_depth",
        "probe.wall_depth",
        ("says nothing without probe_length",),
    ),
}


def compare(shown: str, line: int, text: str, part: str, words: tuple[str, ...]) -> None:
    for word in words:
        assert word in shown, shown
    if part:
        assert line == line_of(text, part)


@pytest.mark.parametrize("name", REFUSED)
def test_refused(name: str, tmp_path: Path) -> None:
    added, part, key, words = REFUSED[name]
    text = f"{SOUND}\n{added}\n"
    checked = check_build(write_build(tmp_path / "build", text))
    assert checked.build is None
    fault = next(fault for fault in checked.faults if fault.key == key)
    compare(str(fault), fault.line, text, part, words)


@pytest.mark.parametrize("name", ASKED)
def test_asked_about(name: str, tmp_path: Path) -> None:
    added, part, key, words = ASKED[name]
    text = f"{SOUND}\n{added}\n"
    checked = check_build(write_build(tmp_path / "build", text))
    assert checked.build is not None, "\n".join(str(fault) for fault in checked.faults)
    found = [warning for warning in checked.warnings if warning.key == key]
    assert len(found) == 1, "one question a list is enough"
    compare(str(found[0]), found[0].line, text, part, words)


def test_shares_are_put_right_to_a_mean_of_one(tmp_path: Path) -> None:
    build = read_build(write_build(tmp_path / "b", SOUND + ASKED["a mean that is nearly 1"][0] + "\n"))
    shares = build["runners"].numbers("air_share")
    assert sum(shares) == pytest.approx(5.0, rel=1e-12)
    assert shares[0] / shares[2] == pytest.approx(1.02 / 0.98, rel=1e-12)


@pytest.mark.parametrize(("card", "diameter", "lag", "highest"), [
    ("thermocouple-k-1.5mm", 1.5e-3, 0.8, 1273.15),
    ("thermocouple-k-3mm", 3e-3, 2.2, 1373.15),
    ("thermocouple-k-6mm", 6e-3, 6.0, 1423.15),
])  # fmt: skip
def test_a_card_fills_the_probe_and_what_is_written_counts_before_it(
    card: str, diameter: float, lag: float, highest: float, tmp_path: Path
) -> None:
    folder = write_build(tmp_path / "b", f'{SOUND}\n[probe]\ncard = "{card}"\n')
    section = read_build(folder)["probe"]
    assert section.si("diameter") == pytest.approx(diameter)
    assert section.si("time_constant") == pytest.approx(lag)
    assert section.si("emissivity") == 0.8
    assert section.si("highest_temperature") == pytest.approx(highest)
    written = read_build(folder, ["probe.diameter=2 mm"])["probe"]
    assert written.si("diameter") == pytest.approx(2e-3)
    assert written.si("time_constant") == pytest.approx(lag)


def test_without_runners_nothing_of_a_runner_is_assumed(tmp_path: Path) -> None:
    build = read_build(write_build(tmp_path / "b"))
    assert not build["exhaust_manifold"].has("runner_bore")
    assert not [used for used in build.defaults_used if "runner" in used.key or "port_distance" in used.key]
    asked = read_build(build.folder, ["runners.air_share=[1.02, 0.98, 1, 1, 1]"])
    assert asked["exhaust_manifold"].si("runner_bore") == pytest.approx(0.4 * 0.083)
    assert {"exhaust_manifold.runner_bore", "exhaust_manifold.runner_length"} <= {
        d.key for d in asked.defaults_used
    }
