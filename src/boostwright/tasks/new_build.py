"""Begin a build: an empty, commented file to fill in, or a copy of an example."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from boostwright.build.faults import nearest
from boostwright.build.reader import BUILD_FILE
from boostwright.build.template import template_text
from boostwright.errors import BuildError, Fault
from boostwright.saving import save_new

__all__ = ["NewBuild", "example_names", "new_build"]

_LARGEST_FILE = 5_000_000


@dataclass(frozen=True)
class NewBuild:
    """What was made.

    folder   the build's folder
    example  the example it was copied from, empty for a file to fill in
    files    files written, relative to the folder
    """

    folder: Path
    example: str
    files: tuple[Path, ...]


def new_build(folder: Path | str, *, example: str | None = None) -> NewBuild:
    """Make a build folder.

    folder   where; made if it is not there. A build.toml in it is never overwritten.
    example  name of an example to copy, None for a file to fill in
    Raises BuildError when there is a build already, the example is unknown, or the folder cannot be written;
    nothing that was there is changed.
    """
    target = Path(folder)
    contents = {Path(BUILD_FILE): template_text().encode()} if example is None else _example(example)
    _refuse_if_taken(target, contents)
    written: list[Path] = []
    try:
        for name in sorted(
            contents, key=lambda name: (name == Path(BUILD_FILE), name)
        ):  # build.toml comes last
            path = target / name
            path.parent.mkdir(parents=True, exist_ok=True)
            save_new(path, contents[name])
            written.append(name)
    except OSError as error:
        for name in written:
            (target / name).unlink(missing_ok=True)
        message = f"cannot be written ({error.strerror})."
        raise BuildError([Fault(str(target), "", "", message, "a folder you may write in")]) from error
    return NewBuild(target, "" if example is None else _plain(example), tuple(sorted(written)))


def example_names() -> tuple[str, ...]:
    """Names of the examples that can be copied, sorted."""
    folder = _examples()
    if folder is None:
        return ()
    return tuple(sorted(path.parent.name for path in folder.glob(f"*/{BUILD_FILE}")))


def _refuse_if_taken(target: Path, contents: dict[Path, bytes]) -> None:
    """Nothing is overwritten."""
    if target.exists() and not target.is_dir():
        raise BuildError([Fault(str(target), "", "", "is a file.", "a folder, new or without a build")])
    faults = [
        Fault(str(target / name), "", "", "is there already, and nothing is overwritten.", "",
              "Choose another folder, or move the old build away.")
        for name in contents
        if (target / name).exists()
    ]  # fmt: skip
    if faults:
        raise BuildError(faults)


def _example(example: str) -> dict[Path, bytes]:
    """The files of an example."""
    names = example_names()
    name = _plain(example)
    folder = _examples()
    if folder is None or name not in names:
        near = nearest(name, names)
        allowed = ", ".join(names) or "none are installed"
        remedy = f"Did you mean {near}?" if near else ""
        raise BuildError([Fault("--example", "", f'"{example}"', "is no example.", allowed, remedy)])
    home = folder / name
    return {
        path.relative_to(home): path.read_bytes()
        for path in sorted(home.rglob("*"))
        if path.is_file() and path.suffix != ".pyc" and path.stat().st_size <= _LARGEST_FILE
    }


def _plain(example: str) -> str:
    """The folder's name of an example; a dash is as good as an underscore."""
    return example.strip().replace("-", "_").replace(" ", "_").lower()


def _examples() -> Path | None:
    """The folder of examples: inside an installed package, or beside the sources in a clone."""
    package = Path(__file__).resolve().parent.parent
    for folder in (package / "examples", package.parent.parent / "examples"):
        if folder.is_dir():
            return folder
    return None
