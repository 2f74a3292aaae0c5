"""Routes that a page needs to show itself: what is imported here is waited for."""

from boostwright.web.routes import build, builds, cards, live, session

__all__ = ["ROUTERS"]

ROUTERS = (
    session.router,
    builds.router,
    build.router,
    cards.router,
    live.router,
)
"""Routers in the order of the description."""
