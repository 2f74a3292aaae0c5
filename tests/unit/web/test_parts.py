"""The interface in two parts: every route is in the part that its path is looked for in."""

from __future__ import annotations

from boostwright.web.routes import LATER, first, later


def paths(routers: tuple[object, ...]) -> list[str]:
    """Paths of the routes of some routers."""
    return [route.path for router in routers for route in router.routes]  # type: ignore[attr-defined]


def test_paths_tell_the_part() -> None:
    assert all(path.startswith(LATER) for path in paths(later.ROUTERS))
    assert not any(path.startswith(LATER) for path in paths(first.ROUTERS))
    assert paths(later.ROUTERS)
