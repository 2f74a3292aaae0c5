"""How many faults of sensors are named rightly, and how many sound logs are accused, over invented and real logs.

Run from the top folder: ``python -m benchmarks.sensor_checks``. Bounds: no sound log accused; at least 90 % of the
faults named by the right code and channel. Three sources that do not share their laws: the tests' own invented runs,
with eight kinds of driving at 1 to 100 Hz, together and in turn, fine and coarse; the simulator on both examples, all
scenarios and four sets of instruments, once on the model and once on its second truth; real logs of the tests. A fault
that the log cannot show (lambda 0.05 off, a line that leaks a little) is counted by itself: the report must say that it
cannot be checked, or name it.
"""

from __future__ import annotations

import argparse
import tempfile
import time
from collections import Counter, defaultdict
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from boostwright.build import read_build
from boostwright.logs.mapping.channels import open_channels
from boostwright.logs.sensor_checks.records import SensorReport
from boostwright.logs.sensor_checks.run import check_sensors
from boostwright.tasks.check_sensors import facts_of_build
from boostwright.tasks.import_log import import_logs
from boostwright.tasks.simulate import SimulateRequest, simulate
from tests.support.sensor_faults_c import FAULTS, clean_log, faulty_log

ROOT = Path(__file__).parents[1]
EXAMPLES = ("hill_climb_estate", "transverse_three")
SCENARIOS = ("one-pull", "dyno-day", "road", "hill-climb")
KITS = ("standalone", "port", "dyno", "hobby")
NAMED = 0.90
REAL = (
    "kit_trip_acceleration.csv",
    "kit_one_value_per_row.csv",
    "kit_semicolon_decimal_comma_units_row_cp1252.csv",
    "kit_trip_twice_encoded.csv",
    "engine_standardised_no_header.csv",
)

SIMULATED: tuple[tuple[str, tuple[str, ...], str], ...] = (
    ("offset pressure_im by=4kPa", ("offset",), "pressure_im"),
    ("offset pressure_2_static by=-6kPa", ("offset",), "pressure_2_static"),
    ("offset pressure_4_static by=5kPa", ("offset",), "pressure_4_static"),
    ("offset pressure_amb by=4kPa", ("offset",), "pressure_amb"),
    ("offset egt_reading_2 by=25K", ("offset",), "egt_reading_2"),
    ("scale pressure_im by=1.08", ("offset", "scale"), "pressure_im"),
    ("scale pressure_2_static by=0.9", ("offset", "scale"), "pressure_2_static"),
    ("unit pressure_2_static to=psi", ("unit",), "pressure_2_static"),
    ("unit temperature_2 to=degF", ("unit",), "temperature_2"),
    ("stuck pressure_im", ("stuck",), "pressure_im"),
    ("stuck pressure_em_static", ("stuck",), "pressure_em_static"),
    ("stuck egt_reading_1", ("stuck",), "egt_reading_1"),
    ("stuck shaft_speed", ("stuck",), "shaft_speed"),
    ("stuck lambda", ("stuck",), "lambda"),
    ("stuck temperature_2", ("stuck",), "temperature_2"),
    ("clipped pressure_im", ("clipped",), "pressure_im"),
    ("clipped pressure_em_static", ("clipped",), "pressure_em_static"),
    ("clipped egt_reading_1", ("clipped",), "egt_reading_1"),
    ("noisy pressure_im rms=6kPa", ("noisy",), "pressure_im"),
    ("noisy egt_reading_1", ("noisy",), "egt_reading_1"),
    ("noisy temperature_2", ("noisy",), "temperature_2"),
    ("noisy engine_speed", ("noisy", "spikes"), "engine_speed"),
    ("noisy lambda rms=0.08", ("noisy",), "lambda"),
    ("noisy shaft_speed rms=6000rpm", ("noisy", "spikes"), "shaft_speed"),
    ("drop-out pressure_im", ("dropped-out",), "pressure_im"),
    ("drop-out pressure_im shows=0", ("dropped-out",), "pressure_im"),
    ("drop-out pressure_2_static shows=65535", ("dropped-out",), "pressure_2_static"),
    ("drop-out engine_speed shows=0", ("dropped-out",), "engine_speed"),
    ("drop-out egt_reading_2 shows=1250", ("dropped-out",), "egt_reading_2"),
    ("swapped pressure_im with=pressure_2_static", ("swapped",), "pressure_im"),
    ("swapped pressure_em_static with=pressure_4_static", ("swapped",), "pressure_em_static"),
    ("swapped temperature_2 with=temperature_im", ("swapped",), "temperature_2"),
    ("swapped temperature_2 with=temperature_bp", ("swapped",), "temperature_2"),
    ("slow-probe egt_reading_2", ("slow-thermocouple",), "egt_reading_2"),
    ("reversed-probe egt_reading_2", ("reversed-thermocouple",), "egt_reading_2"),
    ("blade-count shaft_speed", ("blade-count",), "shaft_speed"),
    ("blade-count shaft_speed fitted=6 counted=7", ("blade-count",), "shaft_speed"),
    ("leaky-line pressure_em_static share=0.1", ("impossible",), "pressure_em_static"),
    ("leaky-line pressure_2_static", ("impossible",), "pressure_2_static"),
    ("gauge-absolute pressure_im", ("gauge-absolute",), "pressure_im"),
    ("gauge-absolute pressure_2_static", ("gauge-absolute",), "pressure_2_static"),
    ("gauge-absolute pressure_em_static", ("gauge-absolute",), "pressure_em_static"),
    ("noisy pressure_em_static rms=3kPa", ("noisy",), "pressure_em_static"),
    ("swapped egt_reading_downpipe with=egt_reading_1", ("swapped",), "egt_reading_downpipe"),
    ("air-leak lambda", ("air-leak",), "lambda"),
    ("unit pressure_oil to=psi", ("unit",), "pressure_oil"),
    ("scale fuel_pressure by=0.7", ("scale",), "fuel_pressure"),
    ("scale injector_time by=1.15", ("routes-apart",), "injector_time"),
    ("scale vehicle_speed by=1.12", ("scale",), "vehicle_speed"),
    ("unit vehicle_speed to=mph", ("unit",), "vehicle_speed"),
    ("scale throttle_position by=0.6", ("scale",), "throttle_position"),
    ("offset throttle_position by=0.15", ("offset",), "throttle_position"),
    ("scale pedal_position by=0.6", ("scale",), "pedal_position"),
)
"""Faults asked of the simulator, the codes they may be named by, and the channel."""

OTHER_KITS: tuple[tuple[str, str, tuple[str, ...], str], ...] = (
    ("port", "scale mass_flow_air by=0.8", ("routes-apart",), "mass_flow_air"),
    ("port", "scale mass_flow_air by=0.85", ("routes-apart",), "mass_flow_air"),
    ("port", "scale mass_flow_air by=1.25", ("routes-apart",), "mass_flow_air"),
    ("dyno", "offset pressure_em_static by=-12kPa", ("offset",), "pressure_em_static"),
)
"""The same with other instruments."""

UNSEEN: tuple[tuple[str, str], ...] = (
    ("offset lambda by=0.05", "lambda"),
    ("leaky-line pressure_em_static", "pressure_em_static"),
    ("leaky-line pressure_em_static share=0.5", "pressure_em_static"),
)
"""Faults whose size is within what the log leaves open, and the word the report must say so by."""


class Count:
    """What became of the logs of one source."""

    def __init__(self, name: str, verbose: bool) -> None:
        """Empty."""
        self.name, self.verbose = name, verbose
        self.sound = self.accused = 0
        self.by_code: dict[str, Counter[str]] = defaultdict(Counter)
        self.unseen: Counter[str] = Counter()
        self.seconds = 0.0

    def check(self, channels: Any, facts: Any) -> SensorReport:
        """The report, timed."""
        start = time.process_time()
        report = check_sensors(channels, facts)
        self.seconds += time.process_time() - start
        return report

    def of_sound(self, report: SensorReport, words: str) -> None:
        """Count a sound log."""
        self.sound += 1
        self.accused += bool(report.faults)
        for fault in report.faults:
            print(f"  ACCUSED {words}: {fault.code} {fault.channels} {fault.certainty:.2f} {fault.what}")

    def of_faulty(self, report: SensorReport, codes: tuple[str, ...], channels: set[str], words: str) -> None:
        """Count a log with a fault in the first of the channels."""
        hit = any(f.code in codes and set(f.channels) & channels for f in report.faults)
        near = any(set(f.channels) & channels for f in report.faults)
        beside = any(not set(f.channels) & channels for f in report.faults)
        outcome = "named" if hit else "other code" if near else "missed"
        self.by_code[codes[0]][outcome] += 1
        self.by_code[codes[0]]["beside"] += beside
        if self.verbose and (not hit or beside):
            print(
                f"  {outcome} {words}: {[(f.code, f.channels, round(f.certainty, 2)) for f in report.faults]}"
            )

    def of_unseen(self, report: SensorReport, channel: str, words: str) -> None:
        """Count a log with a fault it cannot show."""
        named = any(channel in f.channels for f in report.faults)
        said = any(channel in one.check for one in report.not_made)
        self.unseen["named" if named else "said" if said else "silent"] += 1
        if self.verbose and not (named or said):
            print(f"  silent {words}")

    def show(self) -> None:
        """Print it."""
        print(
            f"{self.name}: {self.sound} sound logs, {self.accused} accused ({'held' if not self.accused else 'MISSED'})"
        )
        logs = self.sound + sum(
            sum(c[k] for k in ("named", "other code", "missed")) for c in self.by_code.values()
        )
        total: Counter[str] = Counter()
        for code, counts in sorted(self.by_code.items()):
            count = counts["named"] + counts["other code"] + counts["missed"]
            total.update(counts)
            print(
                f"  {code:24}{count:5} logs, named {counts['named'] / count:6.1%}, by another code "
                f"{counts['other code'] / count:6.1%}, missed {counts['missed'] / count:6.1%}, "
                f"a sound channel beside it {counts['beside'] / count:6.1%}"
            )
        if total:
            count = total["named"] + total["other code"] + total["missed"]
            share = total["named"] / count
            print(
                f"  all {count} faulty logs: named {share:.1%} ({'held' if share >= NAMED else 'MISSED'}, bound "
                f"{NAMED:.0%}), right channel {(total['named'] + total['other code']) / count:.1%}, a sound channel "
                f"beside it {total['beside'] / count:.1%}"
            )
        if self.unseen:
            print(f"  faults the log cannot show: {dict(self.unseen)}")
        print(
            f"  {self.seconds / max(logs + sum(self.unseen.values()), 1):.2f} s of processor time a log\n",
            flush=True,
        )


def own(sound: int, faulty: int, verbose: bool, first: int = 0) -> Count:
    """The tests' own invented runs."""
    count = Count("own invented runs", verbose)
    for seed in range(first, first + sound):
        log, run, words = clean_log(seed)
        count.of_sound(count.check(log, run.facts if seed % 3 else None), words)
    for name, fault in FAULTS.items():
        for k in range(faulty):
            seed = first + 1000 + 17 * k
            log, run = faulty_log(fault, seed)
            channels = {fault.channel, *(fault.swap or ())}
            count.of_faulty(count.check(log, run.facts), (fault.code,), channels, f"{name}, {seed}")
    return count


def _runs(first: int, seeds: int, truth: str) -> Iterator[tuple[Any, Any, str, int, Any]]:
    for name in EXAMPLES:
        build = read_build(ROOT / "examples" / name)
        facts, _ = facts_of_build(build)
        for scenario in SCENARIOS:
            for seed in range(first, first + seeds):
                run = simulate(build, SimulateRequest(scenario, "standalone", seed=seed, truth=truth)).run
                yield build, facts, scenario, seed, run


def _with(build: Any, request: SimulateRequest, run: Any, channel: str) -> Any:
    """The log that has the channel; None where the build has nothing of its kind, as injectors."""
    logs = simulate(build, request, run).logs
    return next((log.channels for log in logs if channel in log.channels.names), None)


def simulated(first: int, seeds: int, truth: str, verbose: bool) -> Count:
    """The simulator, on one of its truths."""
    count = Count(f"simulator, truth {truth}", verbose)
    for build, facts, scenario, seed, run in _runs(first, seeds, truth):
        where = f"{build.name} {scenario} {seed}"
        for kit in KITS:
            made = simulate(build, SimulateRequest(scenario, kit, seed=seed, truth=truth), run)
            for log in made.logs:
                count.of_sound(count.check(log.channels, facts), f"{where} {kit} {log.stem}")
        asked = [("standalone", *one) for one in SIMULATED] + list(OTHER_KITS)
        for kit, text, codes, channel in asked:
            log = _with(build, SimulateRequest(scenario, kit, (text,), seed, truth), run, channel)
            if log is not None:
                channels = {channel, *(text.partition("with=")[2].split()[:1])}
                count.of_faulty(count.check(log, facts), codes, channels, f"{where} {text}")
        for text, channel in UNSEEN:
            log = _with(build, SimulateRequest(scenario, "standalone", (text,), seed, truth), run, channel)
            if log is not None:
                count.of_unseen(count.check(log, facts), channel, f"{where} {text}")
    return count


def real(verbose: bool) -> Count:
    """Real logs of the tests, without a build."""
    count = Count("real logs", verbose)
    with tempfile.TemporaryDirectory() as folder:
        for name in REAL:
            (log,) = import_logs([ROOT / "tests" / "data" / "logs" / name], Path(folder)).logs
            count.of_sound(count.check(open_channels(log.entry.folder), None), name)
    return count


def main() -> None:
    """Print the counts."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--sound", type=int, default=400, help="sound logs of our own runs")
    parser.add_argument("--faulty", type=int, default=6, help="logs a fault of our own runs")
    parser.add_argument(
        "--seeds", type=int, default=2, help="runs a scenario of the simulator; 0 leaves it out"
    )
    parser.add_argument("--first", type=int, default=0, help="seed of the first of them")
    parser.add_argument("--first-own", type=int, default=0, help="the same for our own runs")
    parser.add_argument("--all", action="store_true", help="print what is missed, too")
    arguments = parser.parse_args()
    real(arguments.all).show()
    own(arguments.sound, arguments.faulty, arguments.all, arguments.first_own).show()
    for truth in ("model", "second") if arguments.seeds else ():
        simulated(arguments.first, arguments.seeds, truth, arguments.all).show()


if __name__ == "__main__":
    main()
