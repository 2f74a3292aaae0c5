"""Simulate: what instruments would have logged of a run of the model, with the truth beside it.

Every log that comes from here is invented data, and says so in itself.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path

from boostwright.build import Build, read_build
from boostwright.logs.made.fault_kinds import FAULT_KINDS
from boostwright.logs.made.faults import AskedFault, SimulationError, read_fault
from boostwright.logs.made.instrument import Instrument, Kit, Logger
from boostwright.logs.made.kit_file import KITS, KitFacts, read_kit
from boostwright.logs.made.recorded import Recorded, record
from boostwright.logs.made.true_run import Stretch, TrueRun
from boostwright.logs.made.write_text import HABITS
from boostwright.logs.mapping.names import channel_of
from boostwright.logs.series import ChannelsInMemory
from boostwright.tasks.simulate_complete import highest_flow
from boostwright.tasks.simulate_scenes import SCENARIOS

__all__ = [
    "FAULT_KINDS",
    "KITS",
    "SCENARIOS",
    "TRUTHS",
    "WRITINGS",
    "Instrument",
    "MadeLog",
    "SimulateRequest",
    "Simulated",
    "SimulationError",
    "check_request",
    "shared_faults",
    "simulate",
    "simulate_many",
]

TRUTHS: dict[str, str] = {
    "model": "the model of this program as the build describes it",
    "second": "another truth: map, friction, head force, pulses, manifold heat and hose differ from the build's model",
}
"""What the run is made by."""

WRITINGS: tuple[str, ...] = (*HABITS, "mdf")
"""Habits of writing a file."""


@dataclass(frozen=True)
class SimulateRequest:
    """What is to be simulated.

    scenario     one of SCENARIOS
    instruments  one of KITS, or a TOML file of instruments
    faults       as text, such as "offset pressure_im by=4kPa"; see FAULT_KINDS
    seed         of everything that is drawn: scenes, noise, moments; the same seed makes the same bytes
    truth        one of TRUTHS
    writing      one of WRITINGS for every logger; '' leaves it to the list of instruments
    offsets      clock offset [s] by logger's name, in place of the list's; drifts and begins the same
    settings     'key=value' laid over the build for this run
    kit_in_name  whether the files are named after the list of instruments too, for several lists on one run
    """

    scenario: str = "dyno-day"
    instruments: str | Path = "standalone"
    faults: tuple[str, ...] = ()
    seed: int = 1
    truth: str = "model"
    writing: str = ""
    offsets: Mapping[str, float] = field(default_factory=dict)
    drifts: Mapping[str, float] = field(default_factory=dict)
    begins: Mapping[str, float] = field(default_factory=dict)
    settings: tuple[str, ...] = ()
    kit_in_name: bool = False

    @property
    def stem(self) -> str:
        """What the names of all files of this run begin with."""
        return f"{self.scenario}-{self.seed}" + (f"-{self.kit_name}" if self.kit_in_name else "")

    @property
    def kit_name(self) -> str:
        """The list of instruments in one word: its name, or that of its file without ending."""
        return Path(self.instruments).stem


@dataclass(frozen=True, eq=False)
class MadeLog:
    """What one logger wrote; ``stem`` is the name of its file without ending."""

    stem: str
    recorded: Recorded

    @cached_property
    def channels(self) -> ChannelsInMemory:
        """The channels as an import with every column mapped rightly has them: seconds from the first row, SI."""
        return self.recorded.channels()


@dataclass(frozen=True, eq=False)
class Simulated:
    """A simulated run and its logs, in memory; ``write_simulated`` writes them.

    build  its name; kit the instruments; run what really happened; logs one for each logger
    """

    build: str
    request: SimulateRequest
    kit: Kit
    run: TrueRun
    logs: tuple[MadeLog, ...]

    @property
    def pulls(self) -> tuple[Stretch, ...]:
        """The true pulls, true time."""
        return tuple(one for one in self.run.stretches if one.pull)


def simulate(build: Build | Path, request: SimulateRequest, run: TrueRun | None = None) -> Simulated:
    """Simulate a run of a build and what is logged of it.

    build  the build, or its folder
    run    what really happened, where that is there already: other instruments and faults on the same run cost little
    Raises SimulationError where the request cannot be, BuildError or CardError where the build cannot.
    """
    faults = check_request(request)
    if isinstance(build, Path):
        build = read_build(build, list(request.settings))
    cylinders = build["engine"].integer("cylinders")
    # read once for its faults before the run, which takes its time, and again with the flow of the run
    _refuse_strangers(faults, read_kit(request.instruments, KitFacts(cylinders, 1.0)).loggers)
    if run is None:
        from boostwright.tasks.simulate_run import true_run  # the solver, where a run is not there already

        run = true_run(build, request.scenario, request.seed, request.truth)
    kit = read_kit(request.instruments, KitFacts(cylinders, highest_flow(run)))
    loggers = tuple(_changed(logger, request) for logger in kit.loggers)
    start, stop = float(run.time[0]), float(run.time[-1])
    stem = request.stem
    logs = tuple(
        MadeLog(
            f"{stem}-{logger.name}" if len(loggers) > 1 else stem,
            record(logger, run, faults, request.seed, min(start + logger.begins, stop), stop),
        )
        for logger in loggers
    )
    return Simulated(build.name, request, replace(kit, loggers=loggers), run, logs)


def simulate_many(build: Build | Path, requests: Sequence[SimulateRequest]) -> Iterator[Simulated]:
    """Simulate one request after the other; those of one scenario, seed, truth and settings share one run.

    Only the last run is kept, so order the requests by what they share. Raises as ``simulate``.
    """
    kept: tuple[object, TrueRun] | None = None
    builds: dict[tuple[str, ...], Build] = {}
    for request in requests:
        if isinstance(build, Path):
            if request.settings not in builds:
                builds[request.settings] = read_build(build, list(request.settings))
            this = builds[request.settings]
        else:
            this = build
        key = (request.scenario, request.seed, request.truth, request.settings)
        made = simulate(this, request, kept[1] if kept is not None and kept[0] == key else None)
        kept = (key, made.run)
        yield made


def shared_faults(build: Build | Path, requests: Sequence[SimulateRequest]) -> tuple[SimulateRequest, ...]:
    """Requests of one run by several lists of instruments, each with the faults on what it logs.

    A fault on a channel that some of them log is left out of the others; one on a channel that none logs stays with
    all, and is refused there. Raises as ``simulate``.
    """
    cylinders = (read_build(build, list(requests[0].settings)) if isinstance(build, Path) else build)[
        "engine"
    ]
    facts = KitFacts(cylinders.integer("cylinders"), 1.0)
    logged = [
        {one.channel for log in read_kit(r.instruments, facts).loggers for one in log.instruments}
        for r in requests
    ]
    wanted = [_channels_of(read_fault(text)) for text in requests[0].faults]
    found = []
    for request, own in zip(requests, logged, strict=True):
        kept = tuple(
            text
            for text, channels in zip(request.faults, wanted, strict=True)
            if channels <= own or not any(channels <= others for others in logged)
        )
        found.append(replace(request, faults=kept))
    return tuple(found)


def _channels_of(fault: AskedFault) -> set[str]:
    """The channels that a fault befalls."""
    return {
        one for one in (fault.channel, fault.words.get("with", "")) if one and channel_of(one) is not None
    }


def check_request(request: SimulateRequest) -> tuple[AskedFault, ...]:
    """The faults that are asked for, read; raises SimulationError where a word of the request is not known."""
    for name, value, known in (
        ("--scenario", request.scenario, tuple(SCENARIOS)),
        ("--truth", request.truth, tuple(TRUTHS)),
        ("--write", request.writing, ("", *WRITINGS)),
    ):
        if value not in known:
            allowed = ", ".join(word for word in known if word)
            raise SimulationError.of(name, "is none of these.", "", value, allowed)
    if request.seed < 0:
        raise SimulationError.of("--seed", "must not be below 0.", "", str(request.seed))
    return tuple(read_fault(text) for text in request.faults)


def _changed(logger: Logger, request: SimulateRequest) -> Logger:
    """A logger as the request has it."""
    return replace(
        logger,
        writing=request.writing or logger.writing,
        offset=request.offsets.get(logger.name, logger.offset),
        drift=request.drifts.get(logger.name, logger.drift),
        begins=request.begins.get(logger.name, logger.begins),
    )


def _refuse_strangers(faults: Sequence[AskedFault], loggers: Sequence[Logger]) -> None:
    """Raise where a fault is asked for on a channel that nobody logs."""
    logged = {one.channel for logger in loggers for one in logger.instruments}
    for fault in faults:
        for channel in sorted(_channels_of(fault)):
            if channel not in logged:
                raise SimulationError.of(
                    "--fault",
                    f"{channel} is not logged by these instruments.",
                    "choose another channel, or another list of instruments",
                    fault.code,
                    ", ".join(sorted(logged)),
                )
