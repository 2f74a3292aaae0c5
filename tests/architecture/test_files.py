"""What no file of the project may hold: paths of a machine, addresses nobody vouches for, broken text."""

from __future__ import annotations

import functools
import os
import re
from pathlib import Path

import pytest

from tests.architecture.source_files import ROOT

SKIPPED = {
    ".git", ".venv", "node_modules", "__pycache__", "site", "demo-output", "dist",
    ".pytest_cache", ".mypy_cache", ".ruff_cache", ".hypothesis", ".benchmarks",
}  # fmt: skip
BINARY = {".png", ".webp", ".pdf", ".ico", ".mf4", ".parquet", ".xlsx"}

# Addresses that may stand in a file: name spaces of standards, and where a cited source is found.
HOSTS = {
    "www.w3.org": "name space of SVG",
    "json-schema.org": "name of the schema's own language",
    "doi.org": "identifier of a cited paper",
    "ntrs.nasa.gov": "cited reports",
    "creativecommons.org": "text of a licence",
    "afdc.energy.gov": "cited table of fuels",
    "matplotlib.org": "written into SVG files by the plotting library",
    "purl.org": "name space of metadata in SVG files",
    "example.org": "example in a test",
}
_LOOPBACK = re.compile(
    r"127\\?\.0\\?\.0\\?\.1(:|$)|localhost(:|$)"
)  # this machine, which asks nobody for anything
_ADDRESS = re.compile(r"\b(?:https?|ftp|file)://([^\s/\"'<>)\]]*)", re.IGNORECASE)
_MACHINE_PATH = re.compile(
    r"(?<![\w.~/-])/(?:home|root|work|Users|opt|mnt|srv|var|usr/local)/\w|\b[A-Z]:\\\\?Users"
)


@functools.cache
def text_files() -> tuple[Path, ...]:
    """Every file of the project that is text; folders that are skipped are not walked through."""
    found = []
    for folder, inside, names in os.walk(ROOT):
        inside[:] = [name for name in inside if name not in SKIPPED]
        paths = (Path(folder, name) for name in names if name not in SKIPPED)
        found += [path for path in paths if path.suffix.lower() not in BINARY and path.is_file()]
    return tuple(sorted(found))


NODE_LOCK = ROOT / "frontend" / "package-lock.json"  # has a test of its own


def _read(path: Path) -> str:
    """The text; files of foreign encoding are there on purpose, as test data."""
    return path.read_bytes().decode("utf-8", errors="replace")


def test_there_are_files() -> None:
    assert len(text_files()) > 100


def test_no_path_of_a_machine() -> None:
    wrong = []
    for path in text_files():
        if path == Path(__file__):
            continue
        for number, line in enumerate(_read(path).splitlines(), start=1):
            if found := _MACHINE_PATH.search(line):
                wrong.append(f"{path.relative_to(ROOT)}:{number} {found.group()}")
    assert not wrong, "\n".join(wrong)


def test_no_address_nobody_vouches_for() -> None:
    wrong = []
    for path in text_files():
        for number, line in enumerate(_read(path).splitlines(), start=1):
            for host in _ADDRESS.findall(line):
                if _LOOPBACK.match(host) or path in (Path(__file__), NODE_LOCK):
                    continue
                if host and host.lower() not in HOSTS:
                    wrong.append(f"{path.relative_to(ROOT)}:{number} {host}")
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize("name", ["requirements.lock", "requirements-dev.lock", "requirements-node.lock"])
def test_lock_files_name_versions_and_hashes_and_no_address(name: str) -> None:
    text = (ROOT / name).read_text(encoding="utf-8")
    assert "://" not in text
    assert "index-url" not in text
    assert "find-links" not in text
    packages = re.findall(r"^([a-z0-9-]+)==\S+.*\\$", text, re.MULTILINE)
    assert len(packages) > (20 if "node" not in name else 1)
    assert len(re.findall(r"^[a-z0-9]", text, re.MULTILINE)) == len(packages), "a package without a hash"


def test_lock_of_the_screen_names_versions_and_hashes_and_no_address() -> None:
    import json

    text = NODE_LOCK.read_text(encoding="utf-8")
    packages = {name: entry for name, entry in json.loads(text)["packages"].items() if name}
    assert len(packages) > 5
    assert not [
        name for name, entry in packages.items() if "integrity" not in entry or "version" not in entry
    ]


def test_lock_holds_what_the_project_asks_for() -> None:
    import tomllib

    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    wanted = {
        "requirements.lock": project["project"]["dependencies"] + project["dependency-groups"]["build"],
        "requirements-dev.lock": project["dependency-groups"]["dev"],
    }
    for name, packages in wanted.items():
        locked = (ROOT / name).read_text(encoding="utf-8")
        for package in packages:
            bare = re.split(r"[<>=\[;~! ]", package)[0].lower()
            assert re.search(rf"^{re.escape(bare)}==", locked, re.MULTILINE), (
                f"{package} is not in {name}: make lock"
            )


def test_both_locks_agree() -> None:
    def pins(name: str) -> set[str]:
        return set(
            re.findall(r"^([a-z0-9-]+==[^ ]+)", (ROOT / name).read_text(encoding="utf-8"), re.MULTILINE)
        )

    assert pins("requirements.lock") <= pins("requirements-dev.lock")


def test_text_ends_in_a_line_end() -> None:
    ours = (".py", ".md", ".toml", ".yml")
    wrong = [
        str(path.relative_to(ROOT))
        for path in text_files()
        if path.suffix in ours
        and "data" not in path.parts
        and path.stat().st_size
        and not _read(path).endswith("\n")
    ]
    assert not wrong
