"""Routes that a page needs when a button is pressed; they are loaded after those of ``first``."""

from boostwright.web.routes import digitise, jobs

__all__ = ["ROUTERS"]

ROUTERS = (
    jobs.router,
    digitise.router,
)
"""Routers in the order of the description."""
