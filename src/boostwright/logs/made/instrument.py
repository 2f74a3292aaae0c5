"""Instruments and loggers: what one channel shows of what it measures, and how a logger asks for it."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Instrument", "Kit", "Logger", "Probe", "Transport"]


@dataclass(frozen=True)
class Probe:
    """A temperature probe in a gas stream.

    time_constant  [s] at the reference flow
    flow           reference mass flow [kg/s]; the time constant goes with flow to the power -0.5, as the transfer of
                   heat to a cylinder across the stream does (Scadron and Warshawsky); 0: the same at any flow
    slowest        time constant [s] that it never exceeds: still gas cools it too
    """

    time_constant: float
    flow: float = 0.0
    slowest: float = 30.0


@dataclass(frozen=True)
class Transport:
    """Gas on its way to a probe.

    delay  [s] at the reference flow
    flow   reference mass flow of exhaust [kg/s]: the gas moves as a plug, so the delay shortens as flow rises
    fixed  delay that flow does not change [s]: the probe's own path and its electronics
    """

    delay: float
    flow: float
    fixed: float = 0.0


@dataclass(frozen=True)
class Instrument:
    """One channel of a logger.

    channel      our name of what it measures
    name         what the logger calls it
    unit         the unit as the file spells it, '' for none
    measured_in  the unit of the table that the numbers are in
    basis        "absolute", "gauge" or ""; what the header says of it stands in ``unit``
    rate         [Hz] how often it is sampled; 0: with every row
    lag          [s] first order, of line and sensor
    probe        for an exhaust temperature; transport: for a lambda probe
    pressure_effect  for a lambda probe: k of the pump current's rise with pressure [Pa]; 0: none
    pulsation    amplitude of the cylinders' pulses at the tap, as a share of the pressure over the air's; the lag damps
                 it, and sampling folds what is left down to any frequency
    pulses       of them in a turn of the crankshaft
    noise        rms in SI
    resolution   in ``measured_in``; 0: as many digits as the file has
    low, high    what it can show at the most, in SI on the basis it measures on
    digits       places behind the point in the file
    turns        how often a logger that asks one channel at a time asks for it in a round
    """

    channel: str
    name: str
    unit: str = ""
    measured_in: str = ""
    basis: str = ""
    rate: float = 0.0
    lag: float = 0.0
    probe: Probe | None = None
    transport: Transport | None = None
    pressure_effect: float = 0.0
    pulsation: float = 0.0
    pulses: float = 0.0
    noise: float = 0.0
    resolution: float = 0.0
    low: float = float("-inf")
    high: float = float("inf")
    digits: int = 3
    turns: int = 1


@dataclass(frozen=True)
class Logger:
    """A logger with its instruments and its clock.

    name         in words: "car", "dyno"
    sampling     "together": a row is one moment; "in-turn": one channel is asked at a time
    rate         [Hz] rows a second, or answers a second where they are asked in turn
    instruments  its channels
    between      what a row holds of a channel that was not sampled for it: "held" (the last value) or "empty"
    jitter       rms of the time between two samples, as a share of it
    offset       [s] true time at which the logger's clock shows 0
    drift        how much too fast its clock runs: shown = (true - offset) (1 + drift)
    writing      habit of the file: one of ``write_text.HABITS``, or "mdf"
    begins       [s] how long after the run's start it is switched on
    step         [s] smallest step of its time column; 0: as fine as its digits
    """

    name: str
    sampling: str
    rate: float
    instruments: tuple[Instrument, ...]
    between: str = "held"
    jitter: float = 0.0
    offset: float = 0.0
    drift: float = 0.0
    begins: float = 0.0
    writing: str = "comma"
    step: float = 0.0


@dataclass(frozen=True)
class Kit:
    """The loggers of a day: ``title`` says in words what they are."""

    title: str
    loggers: tuple[Logger, ...]
