"""Where Chromium is, how it is started, and what a test does where there is none."""

from __future__ import annotations

import os
import shutil

import pytest

__all__ = ["ARGUMENTS", "VARIABLE", "chromium_or_skip", "chromium_path"]

VARIABLE = "BOOSTWRIGHT_CHROMIUM"
"""Environment variable that names the Chromium to use, where it is not on the path."""

ARGUMENTS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-dev-shm-usage",
]
"""Nothing that looks for updates, synchronises or calls home; no sandbox, since tests may run as root."""

_NAMES = ("chromium", "chromium-browser")


def chromium_path() -> str | None:
    """The Chromium of this machine; None where there is none."""
    named = os.environ.get(VARIABLE)
    return named or next((found for name in _NAMES if (found := shutil.which(name))), None)


def chromium_or_skip() -> str:
    """The Chromium of this machine. Without one a test is skipped, but fails where everything must run (CI=true)."""
    found = chromium_path()
    if found is not None:
        return found
    message = f"no Chromium on this machine: browser tests not run (install it, or name it in {VARIABLE})"
    if os.environ.get("CI", "").lower() == "true":
        pytest.fail(message)
    pytest.skip(message)
