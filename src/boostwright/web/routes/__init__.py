"""The routes, one file a screen or subject; each file has ``router``, and stands in ``ROUTERS`` here.

A route checks nothing that its request model can check, calls one task, and sends back what that gives. What is slow
to import (tasks, numpy, the solver) is imported inside the route's function, so that the server is there at once.
"""

from boostwright.web.routes import build, builds, cards, digitise, jobs, live, session

__all__ = ["ROUTERS"]

ROUTERS = (
    session.router,
    builds.router,
    build.router,
    cards.router,
    live.router,
    jobs.router,
    digitise.router,
)
"""Routers of the interface, in the order of its description."""
