"""Which pages of the desk a browser has open, so that closing the last one ends the desk.

A page tells when it is shown and when it goes (`templates/desk/desk.js`). One that was given out and has told nothing
yet is on its way; one that never tells, such as the program itself or any page in a browser without script, may be
open as long as it likes. So in doubt the desk stays open.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable

from starlette.requests import Request
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from progdoc.desk.shown import Shown

__all__ = ["HERE", "OpenPages"]

HERE = "/here"  # where a page tells that it is shown, or goes
_SHOWN, _GONE = "shown", "gone"
_MOST = 500  # pages, and characters of the name that one gives itself


class OpenPages:
    """The pages that are open in the browser of one sitting."""

    def __init__(self) -> None:
        self._shown: set[str] = set()
        self._is_one_on_its_way = True  # the first one

    @property
    def are_all_closed(self) -> bool:
        """Whether pages were open, and every one of them told that it goes."""
        return not self._shown and not self._is_one_on_its_way

    def told_by(self, shown: Shown) -> Callable[[Request], Awaitable[Response]]:
        """Return what takes down what a page tells of itself."""

        async def taken_down(request: Request) -> Response:
            typed = await shown.typed(request)
            if typed is None:
                return shown.told("sitting", 403)
            self._hear(*(typed.get(name, ("",))[0] for name in ("page", "state")))
            return Response(status_code=204)

        return taken_down

    def _hear(self, page: str, state: str) -> None:
        if state == _SHOWN and len(page) <= _MOST and len(self._shown) < _MOST:
            self._shown.add(page)
            self._is_one_on_its_way = False
        elif state == _GONE:
            self._shown.discard(page)

    def noticed(self, app: ASGIApp) -> ASGIApp:
        """Return the application, with each page that it gives out noticed."""

        async def noticing(scope: Scope, receive: Receive, send: Send) -> None:
            headers = dict(scope.get("headers", ()))

            async def sent(message: Message) -> None:
                if message["type"] == "http.response.start" and headers.get(b"sec-fetch-dest") == b"document":
                    is_kept = any(value.startswith(b"attachment") for _, value in message["headers"])
                    self._is_one_on_its_way |= not is_kept and not 300 <= message["status"] < 400
                await send(message)

            await app(scope, receive, sent)

        return noticing
