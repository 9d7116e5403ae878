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
from dataclasses import dataclass, field
from http.cookies import CookieError, SimpleCookie
from typing import Any
from urllib.parse import parse_qs

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

__all__ = ["BEGIN", "Door", "form_token", "guarded", "is_of_form"]

BEGIN = "/begin"
_COOKIE = "progdoc-desk"
_MOST_BYTES = 1_000_000  # of one answer
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


def guarded(app: ASGIApp, door: Door) -> ASGIApp:
    """Return the application behind its door."""

    async def behind_door(scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "lifespan":
            await app(scope, receive, send)
            return
        if scope["type"] != "http":  # nothing else is spoken here
            return
        refusal = _entered(scope, door) or _refused(scope, door)
        inner = refusal or _within_bounds(app)
        await inner(scope, receive, _with_headers(send))

    return behind_door


def _with_headers(send: Send) -> Send:
    async def sent(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in _HEADERS.items():
                headers.setdefault(name, value)
        await send(message)

    return sent


def _is_ours(headers: Headers, door: Door) -> bool:
    """Whether the request names this very address, once."""
    return headers.getlist("host") == [door.address]


def _entered(scope: Scope, door: Door) -> Response | None:
    """Return the answer to the first address: the key becomes a cookie, once."""
    headers = Headers(scope=scope)
    if scope["path"] != BEGIN or scope["method"] != "GET" or not _is_ours(headers, door):
        return None
    given = parse_qs(scope["query_string"].decode("ascii", "replace")).get("key", [""])
    fits = hmac.compare_digest(given[0].encode(), door.key.encode())
    if not fits or (door.is_used and not _knows(headers, door)):
        return _told("This address has been used. Start the desk again and open the address that it shows.")
    door.is_used = True
    answer = RedirectResponse("/", 303)
    answer.set_cookie(_COOKIE, door.cookie, httponly=True, samesite="strict", path="/")
    return answer


def _refused(scope: Scope, door: Door) -> Response | None:
    """Return why a request is not answered, or None."""
    headers = Headers(scope=scope)
    if not _is_ours(headers, door):
        return _told("This address is not the desk's.", 421)
    if not _knows(headers, door):
        return _told("Open the address that the desk showed when it was started.")
    if scope["method"] in _READING:
        return None
    if scope["method"] != "POST":
        return _told("The desk knows no such request.", 405)
    if headers.getlist("origin") != [door.origin]:
        return _told("A change has to come from a page of the desk.")
    size = headers.get("content-length", "0")
    if not size.isascii() or not size.isdigit() or len(size) > len(str(_MOST_BYTES)) or int(size) > _MOST_BYTES:
        return _told(f"One answer holds {_MOST_BYTES:,} bytes at most.", 413)
    return None


def _knows(headers: Headers, door: Door) -> bool:
    try:
        cookies: SimpleCookie = SimpleCookie("; ".join(headers.getlist("cookie")))
    except CookieError:
        return False
    held: Any = cookies.get(_COOKIE)
    return held is not None and hmac.compare_digest(held.value.encode(), door.cookie.encode())


def _told(words: str, status: int = 403) -> Response:
    return PlainTextResponse(f"{words}\n", status)


def _within_bounds(app: ASGIApp) -> ASGIApp:
    """Return the application with an end to what it reads, whatever length was announced."""

    async def bounded(scope: Scope, receive: Receive, send: Send) -> None:
        read = 0

        async def received() -> Message:
            nonlocal read
            message = await receive()
            read += len(message.get("body", b""))
            return message if read <= _MOST_BYTES else {"type": "http.disconnect"}

        await app(scope, received, send)

    return bounded
