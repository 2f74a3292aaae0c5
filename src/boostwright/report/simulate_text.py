"""What was simulated and written, for a terminal: a sentence, the stretches, the channels of each log, its faults."""

from __future__ import annotations

import math

from boostwright.report.prose import counted, paragraph
from boostwright.report.text_table import TextColumn, render_table
from boostwright.tasks.simulate import FAULT_KINDS, Instrument, MadeLog, Simulated
from boostwright.tasks.simulate_write import WrittenRun

__all__ = ["faults_text", "simulate_text"]

_RPM = 30.0 / math.pi


def simulate_text(made: Simulated, written: WrittenRun, width: int) -> str:
    """The report, ending with a newline."""
    request, run = made.request, made.run
    kinds = counted(len(made.pulls), "pull")
    lines = [
        paragraph(
            f"Invented data, no measurement: {run.time[-1]:.0f} s of {made.build}, scenario {request.scenario}, seed "
            f"{request.seed}, with {kinds}; truth: {run.facts.get('truth', request.truth)}. "
            f"Logged by {made.kit.title}.",
            width,
            "",
            "",
        ),
        "",
        _stretches(made, width),
    ]
    for log, path, told in zip(made.logs, written.logs, written.file_faults, strict=True):
        logger = log.recorded.logger
        how = "one channel at a time" if logger.sampling == "in-turn" else "all channels together"
        rows = counted(log.recorded.samples.rows.size, "row")
        clock = f"clock {logger.offset:+.3f} s" if logger.offset or logger.drift else "true clock"
        clock += f", drift {logger.drift * 1e6:+.0f} ppm" if logger.drift else ""
        lines += [f"{path}: {logger.name}, {logger.rate:g} Hz, {how}, {rows}, {clock}", _channels(log, width)]
        for fault in (*log.recorded.faults, *told):
            said = f"{fault.code} {fault.channel}".strip()
            asked = next((text for text in request.faults if text.startswith(said)), said)
            lines.append(paragraph(f"Fault put in: {asked}: {fault.words}", width))
        lines.append("")
    lines.append(
        paragraph(
            f"The truth: {written.truth}, {written.channels.name} and {written.samples.name}", width, ""
        )
    )
    return "\n".join(lines) + "\n"


def _stretches(made: Simulated, width: int) -> str:
    shown = [
        one for one in made.run.stretches if one.pull or one.kind == "pull" or one.kind == "part-throttle"
    ]
    if not shown:
        return ""
    columns = [
        TextColumn(("start",), "s", tuple(f"{one.start:.1f}" for one in shown)),
        TextColumn(("end",), "s", tuple(f"{one.stop:.1f}" for one in shown)),
        TextColumn(("gear",), "", tuple(str(one.gear or "") for one in shown)),
        TextColumn(("from",), "rpm", tuple(f"{one.speed_low * _RPM:.0f}" for one in shown)),
        TextColumn(("to",), "rpm", tuple(f"{one.speed_high * _RPM:.0f}" for one in shown)),
        TextColumn(("ramp",), "rpm/s", tuple(f"{one.ramp * _RPM:.0f}" for one in shown)),
        TextColumn(
            ("what",),
            "",
            tuple("pull" if one.pull else f"no pull: {one.why_not}" for one in shown),
            left=True,
        ),
    ]
    return render_table(columns, width)


def _channels(log: MadeLog, width: int) -> str:
    readings = log.recorded.readings
    span = max(float(log.recorded.samples.rows[-1] - log.recorded.samples.rows[0]), 1e-9)
    instruments = [one.instrument for one in readings]
    columns = [
        TextColumn(("column",), "", tuple(one.name for one in instruments), left=True),
        TextColumn(("unit",), "", tuple(one.unit for one in instruments), left=True),
        TextColumn(("channel",), "", tuple(one.channel for one in instruments), left=True),
        TextColumn(("rate",), "Hz", tuple(f"{(one.taken.size - 1) / span:.3g}" for one in readings)),
        TextColumn(("lag",), "s", tuple(_lag(one) for one in instruments)),
        TextColumn(("delay",), "s", tuple(_delay(one) for one in instruments)),
    ]
    return render_table(columns, width)


def _lag(instrument: Instrument) -> str:
    """First order, or that of a probe at the reference flow."""
    lag = instrument.lag + (instrument.probe.time_constant if instrument.probe else 0.0)
    return f"{lag:.3g}" if lag else ""


def _delay(instrument: Instrument) -> str:
    way = instrument.transport
    return f"{way.delay + way.fixed:.3g}" if way else ""


def faults_text(width: int) -> str:
    """The faults that can be asked for, and what can be said of each."""
    lines = []
    for kind in FAULT_KINDS.values():
        channel = "" if kind.place == "file" or kind.code == "no-barometer" else " CHANNEL"
        said = " ".join(f"[{one.name}=...]" for one in kind.said)
        lines.append(f"{kind.code}{channel} {said}".rstrip())
        lines.append(paragraph(f"{kind.words}.", width))
        lines += [paragraph(f"{one.name}: {one.words}", width, "    ", "      ") for one in kind.said]
    return "\n".join(lines) + "\n"
