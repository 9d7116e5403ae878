"""Opens the desk: a socket on this machine alone, the first address, and the end."""

from __future__ import annotations

import socket
from collections.abc import Callable

import uvicorn

from progdoc.desk.guard import Door
from progdoc.desk.pages import desk_application
from progdoc.desk.session import Sitting

__all__ = ["serve"]

_HERE = "127.0.0.1"


def serve(sitting: Sitting, port: int, opened: Callable[[str], None]) -> None:
    """Serve the desk until it is interrupted.

    Parameters
    ----------
    port
        0 for any that is free.
    opened
        Is told the address to open; it works once.

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
        settings = uvicorn.Config(
            desk_application(sitting, door),
            log_level="warning",
            access_log=False,
            server_header=False,
            lifespan="off",
            ws="none",
        )
        opened(door.first_address)
        uvicorn.Server(settings).run(sockets=[listening])
