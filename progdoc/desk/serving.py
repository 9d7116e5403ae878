"""Opens the desk: a socket on this machine alone, the first address, and the end."""

from __future__ import annotations

import asyncio
import socket
from collections.abc import Callable

import uvicorn
from starlette.types import ASGIApp, Receive, Scope, Send

from progdoc.desk.guard import Door
from progdoc.desk.pages import desk_application
from progdoc.desk.session import Sitting

__all__ = ["serve"]

_HERE = "127.0.0.1"
_LOOKS = 20  # how often in the time of rest it is looked whether it is over


def serve(sitting: Sitting, port: int, opened: Callable[[str], None], rest_minutes: float | None = None) -> None:
    """Serve the desk until it is interrupted, or nobody has asked for a page for some time.

    Parameters
    ----------
    port
        0 for any that is free.
    opened
        Is told the address to open; it works once.
    rest_minutes
        After how long without a request it ends; without it, never.

    Raises
    ------
    OSError
        If the port can't be had.
    """
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as listening:
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind((_HERE, port))
        listening.listen()
        door = Door(f"{_HERE}:{listening.getsockname()[1]}")
        asyncio.run(
            _served(listening, desk_application(sitting, door), rest_minutes, lambda: opened(door.first_address))
        )


async def _served(
    listening: socket.socket, desk: ASGIApp, rest_minutes: float | None, opened: Callable[[], None]
) -> None:
    loop = asyncio.get_running_loop()
    last = loop.time()

    async def noticed(scope: Scope, receive: Receive, send: Send) -> None:
        nonlocal last
        last = loop.time()
        await desk(scope, receive, send)

    settings = {"log_level": "warning", "access_log": False, "server_header": False, "lifespan": "off", "ws": "none"}
    server = uvicorn.Server(uvicorn.Config(noticed, **settings))  # type: ignore[arg-type]

    async def rested() -> None:
        rest = (rest_minutes or 0) * 60
        while loop.time() - last < rest:
            await asyncio.sleep(rest / _LOOKS)
        server.should_exit = True

    opened()
    watching = asyncio.create_task(rested()) if rest_minutes is not None else None
    await server.serve(sockets=[listening])
    if watching is not None:
        watching.cancel()
