"""Lists of instruments as TOML: the shipped ones by name, or the user's own file; all faults of a file in one go."""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import Any

from boostwright.errors import Fault
from boostwright.logs.made.faults import SimulationError
from boostwright.logs.made.instrument import Instrument, Kit, Logger, Probe, Transport
from boostwright.logs.made.kit_keys import CHANNEL_KEYS, LOGGER_KEYS, RANGES, SAMPLINGS
from boostwright.logs.made.write_text import HABITS
from boostwright.logs.mapping.names import channel_of
from boostwright.units.quantity import QuantityError, parse_quantity

__all__ = ["KITS", "KitFacts", "namings", "read_kit"]

_FOLDER = Path(__file__).parent
KITS: tuple[str, ...] = tuple(sorted(path.stem for path in (_FOLDER / "kits").glob("*.toml")))
"""Names of the shipped lists."""

_BASES = ("absolute", "gauge")


@dataclass(frozen=True)
class KitFacts:
    """What of an engine a list of instruments hangs on.

    cylinders  number of them: a channel name with # stands for one each
    flow       mass flow of exhaust at full load [kg/s], at which time constants and delays are stated
    """

    cylinders: int
    flow: float


@lru_cache(maxsize=1)
def namings() -> Mapping[str, Mapping[str, list[str]]]:
    """How loggers call their channels: habit -> channel -> name, unit spelled, unit of the table, perhaps basis."""
    text = (_FOLDER / "namings.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def read_kit(which: str | Path, facts: KitFacts) -> Kit:
    """A shipped list by its name, or a TOML file. Raises SimulationError with everything that is wrong with it."""
    path = _FOLDER / "kits" / f"{which}.toml" if str(which) in KITS else Path(which)
    try:
        data = tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        near = difflib.get_close_matches(str(which), KITS, 1)
        remedy = f"did you mean {near[0]}?" if near else "name a TOML file, or one of these"
        raise SimulationError.of(
            "--instruments", f"{which} is no list of instruments.", remedy, "", ", ".join(KITS)
        ) from None
    except (OSError, UnicodeDecodeError) as error:
        raise SimulationError.of(str(which), f"cannot be read: {error}.") from None
    except tomllib.TOMLDecodeError as error:
        raise SimulationError.of(str(which), f"is no TOML: {error}.") from None
    return _Reader(str(which), facts).kit(data)


@dataclass
class _Reader:
    """Reads one list and keeps what is wrong with it."""

    place: str
    facts: KitFacts
    wrong: list[Fault] = field(default_factory=list)

    def kit(self, data: dict[str, Any]) -> Kit:
        """The list; raises SimulationError with all that is wrong."""
        loggers = data.pop("logger", [])
        title = str(data.pop("title", self.place))
        for key in data:
            self._fault(key, "is no key here.", allowed="title, [[logger]]")
        if not isinstance(loggers, list) or not loggers or not all(isinstance(x, dict) for x in loggers):
            self._fault("logger", "there must be at least one [[logger]].")
            loggers = []
        made = tuple(self._logger(index, entry) for index, entry in enumerate(loggers, start=1))
        if len({one.name for one in made}) != len(made):
            self._fault("logger.name", "two loggers have one name.")
        if self.wrong:
            raise SimulationError(self.wrong)
        return Kit(title, made)

    def _fault(self, key: str, message: str, value: object = "", allowed: str = "") -> None:
        self.wrong.append(Fault(self.place, key, str(value), message, allowed))

    def _logger(self, index: int, entry: dict[str, Any]) -> Logger:
        key = f"logger {index}"
        channels = entry.pop("channels", {})
        said = self._said(key, entry, LOGGER_KEYS)
        naming = namings().get(str(said.get("names", "english")))
        if naming is None:
            self._fault(f"{key}.names", "is no habit of names.", said["names"], ", ".join(namings()))
            naming = {}
        for name, choices in (
            ("sampling", SAMPLINGS),
            ("between", ("held", "empty")),
            ("writing", (*HABITS, "mdf")),
        ):
            if name in said and said[name] not in choices:
                self._fault(f"{key}.{name}", "is not one of these.", said[name], ", ".join(choices))
        instruments: list[Instrument] = []
        for channel, words in channels.items():
            instruments += self._channel(f"{key}.channels.{channel}", channel, words, naming)
        if not instruments and not self.wrong:
            self._fault(f"{key}.channels", "has none.")
        if "rate" not in said or "sampling" not in said:
            self._fault(key, 'must say rate and sampling, such as rate = "50 Hz", sampling = "together".')
        kept = {
            name: value for name, value in said.items() if name not in ("names", "rate", "sampling", "name")
        }
        return Logger(
            str(said.get("name", f"logger-{index}")),
            str(said.get("sampling", "together")),
            float(said.get("rate", 1.0)),
            tuple(instruments),
            **kept,
        )

    def _said(self, key: str, entry: object, keys: Mapping[str, str]) -> dict[str, Any]:
        """What a table says, quantities in SI."""
        if not isinstance(entry, dict):
            self._fault(key, "must be a table.", entry)
            return {}
        said: dict[str, Any] = {}
        for name, value in entry.items():
            if name not in keys:
                near = difflib.get_close_matches(name, keys, 1)
                self._fault(f"{key}.{name}", "is no key here.", "", near[0] if near else ", ".join(keys))
                continue
            kind = keys[name]
            if kind == "word":
                said[name] = str(value)
            elif kind == "whole":
                if isinstance(value, int) and not isinstance(value, bool) and value >= 0:
                    said[name] = value
                else:
                    self._fault(f"{key}.{name}", "must be a whole number, not below 0.", value)
            else:
                self._quantity(f"{key}.{name}", kind, value, said, name)
            low, high = RANGES.get(name, (0.0, 0.0))
            if name in said and name in RANGES and not low <= said[name] <= high:
                self._fault(f"{key}.{name}", "is out of range.", value, f"{low:g} to {high:g} in SI")
                del said[name]
        return said

    def _quantity(self, key: str, kind: str, value: object, said: dict[str, Any], name: str) -> None:
        if isinstance(value, (int, float)) and not isinstance(value, bool):
            if kind in ("dimensionless", "number", "temperature_difference"):
                said[name] = float(value)
            else:
                self._fault(key, f"is a {kind.replace('_', ' ')} and needs a unit.", value)
            return
        try:
            said[name] = parse_quantity(str(value), kind, place=self.place, key=key).value_si
        except QuantityError as error:
            self.wrong.append(error.fault)

    def _channel(
        self, key: str, channel: str, entry: object, naming: Mapping[str, list[str]]
    ) -> list[Instrument]:
        if "#" in channel:
            numbers = range(1, self.facts.cylinders + 1)
            named = [n.replace("#", str(k)) if isinstance(n, str) else n for k in numbers for n in (channel,)]
            return [
                one
                for number, full in zip(numbers, named, strict=True)
                for one in self._instrument(key, full, entry, naming.get(channel), number)
            ]
        return self._instrument(key, channel, entry, naming.get(channel), 0)

    def _instrument(
        self, key: str, channel: str, entry: object, usual: list[str] | None, number: int
    ) -> list[Instrument]:
        found = channel_of(channel)
        if found is None:
            self._fault(key, "is no channel; see docs/reference/log-channels.md.")
            return []
        own = found[0].kind if found[0].kind not in ("", "air_fuel_ratio") else "dimensionless"
        difference = "temperature_difference" if own == "temperature" else own
        keys = {n: {"same": own, "difference": difference}.get(k, k) for n, k in CHANNEL_KEYS.items()}
        said = self._said(key, entry, keys)
        if usual is None and "name" not in said:
            self._fault(key, "has no name in this habit of names: say name, unit and measured_in.")
            return []
        words = [*(usual or ["", "", ""]), ""]
        basis = said.get("basis", words[3])
        if (found[0].basis == "either" and basis not in _BASES) or (
            found[0].basis in _BASES and basis not in ("", found[0].basis)
        ):
            self._fault(
                f"{key}.basis",
                "does not fit the channel.",
                basis,
                found[0].basis.replace("either", "absolute, gauge"),
            )
        probe = Probe(said["time_constant"], self.facts.flow) if "time_constant" in said else None
        transport = None
        if "delay" in said or "fixed_delay" in said:
            transport = Transport(said.get("delay", 0.0), self.facts.flow, said.get("fixed_delay", 0.0))
        kept: dict[str, Any] = {
            name: said[name]
            for name in (
                "rate",
                "lag",
                "noise",
                "pulsation",
                "resolution",
                "low",
                "high",
                "digits",
                "turns",
                "pressure_effect",
            )
            if name in said
        }
        kept["pulses"] = 0.5 * self.facts.cylinders if "pulsation" in said else 0.0
        name = str(said.get("name", words[0])).replace("#", str(number))
        unit = str(said.get("unit", words[1]))
        measured_in = str(said.get("measured_in", words[2]))
        return [Instrument(channel, name, unit, measured_in, basis, probe=probe, transport=transport, **kept)]
