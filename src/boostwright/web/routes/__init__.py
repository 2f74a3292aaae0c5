"""The routes, one file a screen or subject; each has ``router`` and stands in ``first.ROUTERS`` or ``later.ROUTERS``.

A route checks nothing that its request model can check, calls one task, and sends back what that gives. What is slow
to import (tasks, numpy, the solver) is imported inside the route's function, so that the server is there at once.
"""

__all__ = ["LATER"]

LATER = ("/api/jobs", "/api/digitise")
"""How the paths of ``later.ROUTERS`` begin, known without importing them."""
