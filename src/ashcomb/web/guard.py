"""The door of the local server: who may knock, how much they may bring, and the headers on every answer."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from starlette.datastructures import MutableHeaders
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from ashcomb.web.answers import refusal

BODY_LIMIT = 32 * 1024 * 1024  # bytes of one request
SAFE = ("GET", "HEAD", "OPTIONS")
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
HEADERS: Mapping[str, str] = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}
HOST = ("This address is not served here.", "Open the address that `ashcomb serve` printed.")
ORIGIN = ("The form did not come from these pages.", "Open the form on this server and send it from there.")
SIZE = (f"More than {BODY_LIMIT // 1024 // 1024} MB came in one request.", "Send fewer or smaller files.")


class Guard:
    """Wraps the whole application, so that its headers stand on error answers too. hosts: allowed values of Host."""

    def __init__(self, app: ASGIApp, hosts: Iterable[str]) -> None:
        self.app, self.hosts = app, frozenset(hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answers one request; anything but HTTP and the life of the server is refused."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
        elif scope["type"] == "http":
            await self._answer(scope, receive, _with_headers(scope["path"], send))
        else:
            await send({"type": "websocket.close", "code": 1008})

    async def _answer(self, scope: Scope, receive: Receive, send: Send) -> None:
        request = Request(scope)
        if request.headers.get("host", "") not in self.hosts:
            await refusal(request, 421, *HOST)(scope, receive, send)
        elif request.method not in SAFE and not self._own(request):
            await refusal(request, 403, *ORIGIN)(scope, receive, send)
        elif _declared(request) > BODY_LIMIT:
            await refusal(request, 413, *SIZE)(scope, receive, send)
        else:
            await self.app(scope, _counted(receive), send)

    def _own(self, request: Request) -> bool:
        """Whether a request that may write was sent by a page of this server.

        A browser that sends Sec-Fetch-Site says it itself, and then hides Origin as `null` because of our referrer
        policy; without that header Origin must name one of our hosts.
        """
        site, origin = request.headers.get("sec-fetch-site"), request.headers.get("origin")
        ours = {f"http://{host}" for host in self.hosts}
        if site is None:
            return origin in ours
        return site == "same-origin" and (origin is None or origin == "null" or origin in ours)


def _declared(request: Request) -> int:
    length = request.headers.get("content-length", "0")
    return int(length) if length.isascii() and length.isdigit() else BODY_LIMIT + 1


def _counted(receive: Receive) -> Receive:
    taken = 0

    async def counted() -> Message:
        nonlocal taken
        message = await receive()
        taken += len(message.get("body", b""))
        if taken > BODY_LIMIT:
            raise HTTPException(413, SIZE[0])
        return message

    return counted


def _with_headers(path: str, send: Send) -> Send:
    store = "no-cache" if path.startswith("/static/") else "no-store"

    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers[name] = value
            headers["Cache-Control"] = store
        await send(message)

    return sending
