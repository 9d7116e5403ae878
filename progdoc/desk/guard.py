"""Keeps everybody else out of the desk: what stands between the socket and its pages.

A loopback address alone is no protection, since any web page can make a browser send requests to it. So the address
asked for is compared whole (a name that begins alike, or one rebound to this machine, is another), a key in the first
address works once and becomes a cookie that no script reads and no other site sends, and every change has to come from
a page of the desk and bring the token that its form held.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
from collections.abc import Callable
from dataclasses import field
from http.cookies import CookieError, SimpleCookie
from typing import Any
from urllib.parse import parse_qs

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from progdoc.core.late_dataclass import dataclass

__all__ = [
    "ATTACH",
    "BEGIN",
    "Door",
    "Enter",
    "Tell",
    "by_address",
    "form_token",
    "guarded",
    "is_from_here",
    "is_of_form",
    "let_in",
]

BEGIN = "/begin"
_COOKIE = "progdoc-desk"
_MOST_BYTES = 1_000_000  # of one answer
ATTACH = "/attach"  # where files are sent
_MOST_OF_FILE = 6_000_000  # with what stands about it in a form
_READING = ("GET", "HEAD")

# Nothing is fetched from elsewhere, nothing is framed elsewhere, forms go nowhere else. The page of the program is
# shown inside the desk, without a right to run anything.
_HEADERS = {
    "content-security-policy": (
        "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self' data:; connect-src 'self'; "
        "frame-src 'self'; form-action 'self'; frame-ancestors 'self'; base-uri 'none'"
    ),
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "cache-control": "no-store",
}


@dataclass(slots=True)
class Door:
    """The secrets of one start: the key that opens once, and what the browser holds from then on."""

    address: str  # "127.0.0.1:8431", as a browser writes it
    key: str = field(default_factory=lambda: secrets.token_urlsafe(32))
    cookie: str = field(default_factory=lambda: secrets.token_urlsafe(32))
    is_used: bool = False

    @property
    def origin(self) -> str:
        return f"http://{self.address}"

    @property
    def first_address(self) -> str:
        """What is opened to begin."""
        return f"{self.origin}{BEGIN}?key={self.key}"


def form_token(door: Door) -> str:
    """Return what each form of the desk holds, so that a change comes from one of them."""
    return hmac.new(door.cookie.encode(), b"form", hashlib.sha256).hexdigest()


def is_of_form(door: Door, token: str) -> bool:
    return hmac.compare_digest(form_token(door).encode(), token.encode())


Tell = Callable[..., Response]  # words for the reason why a request is not answered, and its status
Enter = Callable[[Scope, Door], ASGIApp | None]  # what answers a request by which somebody comes in; None for others


def guarded(app: ASGIApp, door: Door, enter: Enter, tell: Tell) -> ASGIApp:
    """Return the application behind its door."""

    async def behind_door(scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "lifespan":
            await app(scope, receive, send)
            return
        if scope["type"] != "http":  # nothing else is spoken here
            return
        inner = _refused(scope, door, tell) or enter(scope, door) or _unknown(scope, door, tell) or app
        await _within_bounds(inner)(scope, receive, _with_headers(send))

    return behind_door


def by_address(tell: Tell) -> Enter:
    """Return what lets in who opens the first address: its key becomes a cookie, once."""

    def entered(scope: Scope, door: Door) -> Response | None:
        if scope["path"] != BEGIN or scope["method"] != "GET":
            return None
        given = parse_qs(scope["query_string"].decode("ascii", "replace")).get("key", [""])
        fits = hmac.compare_digest(given[0].encode(), door.key.encode())
        if not fits or (door.is_used and not _knows(Headers(scope=scope), door)):
            return tell("used", 403)
        door.is_used = True
        return let_in(door)

    return entered


def let_in(door: Door) -> Response:
    """Return the way in, with the cookie that keeps it open."""
    answer = RedirectResponse("/", 303)
    answer.set_cookie(_COOKIE, door.cookie, httponly=True, samesite="strict", path="/")
    return answer


def _with_headers(send: Send) -> Send:
    async def sent(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in _HEADERS.items():
                headers.setdefault(name, value)
        await send(message)

    return sent


def is_from_here(scope: Scope, door: Door) -> bool:
    """Whether a change comes from a page of this very address."""
    return Headers(scope=scope).getlist("origin") == [door.origin]


def _refused(scope: Scope, door: Door, tell: Tell) -> Response | None:
    """Return why a request is not even looked at, or None."""
    headers = Headers(scope=scope)
    if headers.getlist("host") != [door.address]:  # named whole, and once
        return tell("address", 421)
    if scope["method"] in _READING:
        return None
    if scope["method"] != "POST":
        return tell("method", 405)
    if not is_from_here(scope, door):
        return tell("elsewhere", 403)
    size = headers.get("content-length", "0")
    most = _most(scope)
    if not size.isascii() or not size.isdigit() or len(size) > len(str(most)) or int(size) > most:
        return tell("size", 413, most=most)
    return None


def _most(scope: Scope) -> int:
    return _MOST_OF_FILE if scope["path"] == ATTACH else _MOST_BYTES


def _unknown(scope: Scope, door: Door, tell: Tell) -> Response | None:
    return None if _knows(Headers(scope=scope), door) else tell("unknown", 403)


def _knows(headers: Headers, door: Door) -> bool:
    try:
        cookies: SimpleCookie = SimpleCookie("; ".join(headers.getlist("cookie")))
    except CookieError:
        return False
    held: Any = cookies.get(_COOKIE)
    return held is not None and hmac.compare_digest(held.value.encode(), door.cookie.encode())


def _within_bounds(app: ASGIApp) -> ASGIApp:
    """Return the application with an end to what it reads, whatever length was announced."""

    async def bounded(scope: Scope, receive: Receive, send: Send) -> None:
        read, most = 0, _most(scope)

        async def received() -> Message:
            nonlocal read
            message = await receive()
            read += len(message.get("body", b""))
            return message if read <= most else {"type": "http.disconnect"}

        await app(scope, received, send)

    return bounded
