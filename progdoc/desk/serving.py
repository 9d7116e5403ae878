"""Opens the desk: a socket on this machine alone, one for a phone if asked for, the first address, and the end."""

from __future__ import annotations

import asyncio
import socket
from collections.abc import Callable
from contextlib import ExitStack
from math import inf

import uvicorn
from starlette.types import ASGIApp, Receive, Scope, Send

from progdoc.desk.guard import Door
from progdoc.desk.open_pages import OpenPages
from progdoc.desk.pages import desk_application
from progdoc.desk.phone import Code, phone_application
from progdoc.desk.session import Sitting

__all__ = ["Shared", "network_address", "serve"]

_HERE = "127.0.0.1"
_AWAY = ("192.0.2.1", 9)  # an address for examples, RFC 5737: to name a way there sends nothing
_LOOKS = 20  # how often in the time of waiting it is looked whether it is over
_CLOSED_FOR_S = 600  # so long it waits, once its last page is gone: a paper from the folder may be read in its place

Shared = Callable[[str, str], None]  # is told the phone's address and the code that lets one in, at each new code


def network_address() -> str:
    """Return the address by which this machine is known in its network.

    Raises
    ------
    OSError
        If it is in none.
    """
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        asking.connect(_AWAY)
        return str(asking.getsockname()[0])


def serve(
    sitting: Sitting,
    port: int,
    opened: Callable[[str], None],
    rest_minutes: float | None = None,
    share: str = "",
    shared: Shared = lambda address, code: None,
    closed_for_s: float = _CLOSED_FOR_S,
) -> None:
    """Serve the desk until it is interrupted, its last page is closed, or nobody has asked for a page for some time.

    While it is shared with a phone, closing the browser does not end it: the phone is still there.

    Parameters
    ----------
    port
        0 for any that is free.
    opened
        Is told the address to open; it works once.
    rest_minutes
        After how long without a request it ends; without it, never.
    share
        The address of this machine at which a phone reaches its own few pages; "" for none.
    closed_for_s
        After how many seconds it ends once the browser told that its last page was closed.

    Raises
    ------
    OSError
        If a port or an address can't be had.
    """
    with ExitStack() as held:
        here = held.enter_context(_listening(_HERE, port))
        door = Door(f"{_HERE}:{here.getsockname()[1]}")
        pages = OpenPages()
        served = [(here, desk_application(sitting, door, pages))]
        if share:
            there = held.enter_context(_listening(share, 0))
            served.append((there, _for_phone(sitting, f"{share}:{there.getsockname()[1]}", shared)))
        rest_s = inf if rest_minutes is None else rest_minutes * 60
        left_s = inf if share else closed_for_s
        asyncio.run(_served(served, rest_s, left_s, pages, lambda: opened(door.first_address)))


def _for_phone(sitting: Sitting, address: str, shared: Shared) -> ASGIApp:
    door = Door(address)
    code = Code(lambda code: shared(f"{door.origin}/enter", code))
    shared(f"{door.origin}/enter", code.valid)
    return phone_application(sitting, door, code)


def _listening(address: str, port: int) -> socket.socket:
    found = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        found.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        found.bind((address, port))
        found.listen()
    except OSError:
        found.close()
        raise
    return found


async def _served(
    served: list[tuple[socket.socket, ASGIApp]],
    rest_s: float,
    left_s: float,
    pages: OpenPages,
    opened: Callable[[], None],
) -> None:
    loop = asyncio.get_running_loop()
    last = loop.time()

    def noticing(inner: ASGIApp) -> ASGIApp:
        async def noticed(scope: Scope, receive: Receive, send: Send) -> None:
            nonlocal last
            last = loop.time()
            await inner(scope, receive, send)

        return noticed

    def server_of(inner: ASGIApp) -> uvicorn.Server:
        quiet = uvicorn.Config(
            noticing(inner), log_level="warning", access_log=False, server_header=False, lifespan="off", ws="none"
        )
        return uvicorn.Server(quiet)

    servers = [server_of(inner) for _, inner in served]

    async def until_left() -> None:
        open_at = loop.time()
        while loop.time() - last < rest_s and loop.time() - open_at < left_s:
            await asyncio.sleep(min(rest_s, left_s) / _LOOKS)
            if not pages.are_all_closed:
                open_at = loop.time()
        for server in servers:
            server.should_exit = True

    async def until_over(server: uvicorn.Server, listening: socket.socket) -> None:
        await server.serve(sockets=[listening])
        for other in servers:  # one ends with the other
            other.should_exit = True

    opened()
    watching = asyncio.create_task(until_left()) if min(rest_s, left_s) < inf else None
    await asyncio.gather(*(until_over(server, place) for server, (place, _) in zip(servers, served, strict=True)))
    if watching is not None:
        watching.cancel()
