"""Every request turned away that does not come from the page itself; headers that hold a browser to it."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

from starlette.exceptions import HTTPException
from starlette.types import ASGIApp, Message, Receive, Scope, Send

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; "
    "manifest-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
HEADERS = (
    (b"content-security-policy", POLICY.encode()),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"permissions-policy", b"camera=(), microphone=(), geolocation=()"),
    (b"cache-control", b"no-store"),
)


class Guard:
    """An ASGI application around another.

    ``names``: host names that the page goes by; besides, an address is let in where it is the very one that the
    connection came to (so that a foreign name that resolves to this machine is not). ``most``: bytes of a body.
    """

    def __init__(self, app: ASGIApp, names: Iterable[str], most: int) -> None:
        self.app = app
        self.names = {name.casefold() for name in names}
        self.most = most

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self.app(scope, receive, send)
            return
        headers = [(key.lower(), value.decode("latin-1")) for key, value in scope["headers"]]
        refusal = self._refusal(scope, headers)
        if refusal:
            await _refuse(send, *refusal)
            return
        await self._pass_on(scope, receive, send)

    def _refusal(self, scope: Scope, headers: list[tuple[bytes, str]]) -> tuple[int, str] | None:
        """Status and words where a request is turned away unread."""
        hosts = [value for key, value in headers if key == b"host"]
        if len(hosts) != 1 or not self._is_ours(hosts[0], scope):
            return 421, "this page is not served under that name"
        origins = [value for key, value in headers if key == b"origin"]
        sites = [value for key, value in headers if key == b"sec-fetch-site"]
        if any(origin != f"{scope['scheme']}://{hosts[0]}" for origin in origins):
            return 403, "calls from other pages are not answered"
        if scope["path"] != "/" and any(site not in ("same-origin", "none") for site in sites):
            return 403, "calls from other pages are not answered"
        lengths = [value for key, value in headers if key == b"content-length"]
        if any(not length.isdecimal() or int(length[:18]) > self.most for length in lengths):
            return 413, f"more than {self.most // 1024 // 1024} MB are not read"
        return None

    def _is_ours(self, host: str, scope: Scope) -> bool:
        name, port = split_host(host)
        address, own = scope.get("server") or ("", None)
        if own is not None and port != own:
            return False
        return name in self.names or name == str(address).casefold()

    async def _pass_on(self, scope: Scope, receive: Receive, send: Send) -> None:
        seen = 0

        async def counted() -> Message:
            nonlocal seen
            message = await receive()
            seen += len(message.get("body", b""))
            if seen > self.most:
                raise HTTPException(413, f"more than {self.most // 1024 // 1024} MB are not read")
            return message

        async def framed(message: Message) -> None:
            if message["type"] == "http.response.start":
                own = {key for key, _ in message["headers"]}
                message["headers"] = [*message["headers"], *(h for h in HEADERS if h[0] not in own)]
            await send(message)

        await self.app(scope, counted, framed)


def split_host(host: str) -> tuple[str, int]:
    """Name and port of a Host header, port 80 where none is said; port -1 where it makes no sense."""
    name, _, port = host.rpartition(":") if ":" in host and not host.endswith("]") else (host, "", "80")
    return name.strip("[]").casefold(), int(port) if port.isascii() and port.isdecimal() and len(port) < 6 else -1


async def _refuse(send: Send, status: int, words: str) -> None:
    body: dict[str, Any] = {"error": words}
    data = json.dumps(body).encode()
    headers = [*HEADERS, (b"content-type", b"application/json"), (b"content-length", str(len(data)).encode())]
    await send({"type": "http.response.start", "status": status, "headers": [*headers, (b"connection", b"close")]})
    await send({"type": "http.response.body", "body": data})
