"""Serves the pages of one case on this machine only."""

from __future__ import annotations

import socket
from collections.abc import Callable
from pathlib import Path

from ashcomb.casework.case import open_case
from ashcomb.casework.hand import this_hand
from ashcomb.kernel.errors import UserError

ADDRESS = "127.0.0.1"


def serve_case(folder: Path, port: int, by: str, announce: Callable[[str], object]) -> None:
    """Serves until it is stopped; raises UserError where there is no case or the port is taken.

    port: 0 takes a free one.  by: who writes, unless a form names somebody else.  announce: told the address.
    """
    import uvicorn

    from ashcomb.web.app import make_app

    open_case(folder, this_hand(by)).store.close()
    with _listening(port) as door:
        port = door.getsockname()[1]
        app = make_app(folder, by, hosts=(f"{ADDRESS}:{port}", f"localhost:{port}"))
        server = uvicorn.Server(uvicorn.Config(app, log_level="warning", server_header=False, access_log=False))
        door.listen()  # who opens the address at once waits instead of being refused
        announce(f"The pages of the case are at http://{ADDRESS}:{port}/ on this machine only. Stop with Ctrl+C.")
        server.run(sockets=[door])


def _listening(port: int) -> socket.socket:
    door = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    door.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        door.bind((ADDRESS, port))
    except (OSError, OverflowError) as error:
        door.close()
        raise UserError(f"Port {port} cannot be used: {error}.", "Choose another with --port, or 0 for any.") from None
    return door
