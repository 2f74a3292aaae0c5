"""Errors as answers: whatever is wrong with a request comes back as faults a person can act on."""

from __future__ import annotations

import os
import traceback
from typing import Any

from fastapi import FastAPI
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from boostwright.errors import BoostwrightError, Fault, FaultyInput, UnknownPart
from boostwright.web.answers import answer
from boostwright.web.screen_words import on_the_screen

__all__ = ["add_refusals", "fault_of", "refused"]

_LONGEST = 200


def fault_of(fault: Fault) -> dict[str, Any]:
    """A fault as the interface shows it."""
    from boostwright.report.form_json import fault_plain

    return fault_plain(on_the_screen(fault))


def refused(
    message: str, status: int, *, key: str = "", value: str = "", allowed: str = "", remedy: str = ""
) -> Response:
    """A request that is refused for one reason."""
    return answer({"faults": [fault_of(Fault("", key, value, message, allowed, remedy))]}, status)


def add_refusals(api: FastAPI) -> None:
    """Let every error that a route raises become an answer."""
    api.add_exception_handler(RequestValidationError, _of_request)
    api.add_exception_handler(HTTPException, _of_http)
    api.add_exception_handler(BoostwrightError, _of_ours)
    api.add_exception_handler(OSError, _of_disk)
    api.add_exception_handler(Exception, _of_program)


async def _of_request(_: Request, error: Exception) -> Response:
    """What was sent does not fit the description of the interface."""
    faults = []
    for one in error.errors() if isinstance(error, RequestValidationError) else []:
        place = ".".join(str(part) for part in one.get("loc", ()) if part != "body")
        value = one.get("input")
        shown = str(value) if isinstance(value, str | int | float) else ""
        faults.append(
            fault_of(Fault("request", _short(place), shown, f"{one.get('msg', 'is not allowed')}."))
        )
    return answer({"faults": faults[:50]}, 422)


async def _of_http(_: Request, error: Exception) -> Response:
    status = error.status_code if isinstance(error, HTTPException) else 400
    words = str(getattr(error, "detail", "")) or "cannot be answered"
    response = refused(f"{words}.", status)
    response.headers.update(getattr(error, "headers", None) or {})
    return response


async def _of_ours(_: Request, error: Exception) -> Response:
    """An error of ours says all there is to say."""
    if isinstance(error, FaultyInput):
        return answer({"faults": [fault_of(fault) for fault in error.faults]}, 422)
    return refused(str(error), 404 if isinstance(error, UnknownPart) else 422)


async def _of_disk(_: Request, error: Exception) -> Response:
    """The disk refused: full, read-only, gone."""
    reason = getattr(error, "strerror", None) or type(error).__name__
    remedy = "Make room or set the folder's permissions, then save again. Nothing was changed."
    return refused(f"The disk refused: {reason}.", 422, remedy=remedy)


async def _of_program(_: Request, error: Exception) -> Response:
    """An error inside the program: said as such, and its trace on the terminal where that was asked for."""
    if os.environ.get("BOOSTWRIGHT_TRACEBACK"):
        traceback.print_exception(error)
    remedy = "Nothing was changed. With BOOSTWRIGHT_TRACEBACK=1 set, the server says where it came from."
    message = f"An error inside the program, not in your input: {type(error).__name__}."
    return refused(message, 500, remedy=remedy)


def _short(text: str) -> str:
    """Text that came from outside, bounded, without what cannot be written out."""
    return text[:_LONGEST].encode("utf-8", "replace").decode("utf-8")
