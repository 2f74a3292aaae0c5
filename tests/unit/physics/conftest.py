"""Generated inputs without a stopwatch: a busy machine must not fail a test."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("no-stopwatch", deadline=None)
settings.load_profile("no-stopwatch")
