"""Check a build: what is refused, what is asked about, and what is assumed because nobody has written it down."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from boostwright.build.build import Build, DefaultUsed
from boostwright.build.reader import check_build
from boostwright.errors import Fault

__all__ = ["CheckResult", "check", "faults_of_meaning"]


@dataclass(frozen=True)
class CheckResult:
    """What a check found.

    folder         the folder that was checked
    faults         what is refused, each with place, key, value, what is allowed and a remedy
    warnings       what is taken, but asked about
    defaults_used  what is assumed; empty while there are faults
    build          the build, None while there are faults
    """

    folder: Path
    faults: tuple[Fault, ...]
    warnings: tuple[Fault, ...]
    defaults_used: tuple[DefaultUsed, ...]
    build: Build | None

    @property
    def sound(self) -> bool:
        """True when nothing is refused."""
        return not self.faults


def check(folder: Path | str, settings: Sequence[str] = ()) -> CheckResult:
    """Check the build in a folder; a faulty build is a result, not an error.

    folder    the build's folder, or its build.toml
    settings  ``section.key=value`` laid over the file for this check
    Nothing on disk is changed.
    """
    checked = check_build(folder, settings)
    faults = faults_of_meaning(checked.build) if checked.build else ()
    if faults:
        return CheckResult(Path(folder), (*checked.faults, *faults), checked.warnings, (), None)
    defaults = checked.build.defaults_used if checked.build else ()
    return CheckResult(Path(folder), checked.faults, checked.warnings, defaults, checked.build)


def faults_of_meaning(build: Build) -> tuple[Fault, ...]:
    """Faults of a build that reads well: limits on what there is not, and a knock limit that cannot be followed."""
    faults: tuple[Fault, ...] = ()
    if build["limits"].records("own"):
        from boostwright.tasks.own_limits import own_limit_faults

        faults = own_limit_faults(build)
    fault = _knock_fault(build)
    return faults if fault is None else (*faults, fault)


def _knock_fault(build: Build) -> Fault | None:
    """The fault of a build that asks for a knock limit its fuel does not have."""
    section = build["spark"]
    if not section.has("set_by") or section.text("set_by") != "knock-limit":
        return None
    # what lies behind a fuel takes longer to load than the rest of the check
    from boostwright.components.fuel_blend import fuel_card
    from boostwright.components.knock_fuel import knock_limit_fault

    return knock_limit_fault(build, fuel_card(build))
