"""The command ``jiggen serve`` turned into the local page on a port of this machine."""

from __future__ import annotations

import contextlib
import socket
import sys
import threading
from typing import NoReturn

import click

NOT_WRITTEN, BAD_INPUT = 3, 2
LOOPBACK = ("127.0.0.1", "localhost", "::1")
EVERY = ("0.0.0.0", "::", "")


@click.command()
@click.option("--port", type=click.IntRange(0, 65535), default=8350, show_default=True, help="0: any that is free.")
@click.option(
    "--host", default="127.0.0.1", show_default=True, help="0.0.0.0: this machine's network sees the page too."
)
@click.option("--browser/--no-browser", default=True, help="Open the page in a browser.  [default: open]")
def serve(port: int, host: str, browser: bool) -> None:
    """Open the local page: build a guard by forms, see it drawn, make the packet.

    It stays on this machine and needs no network. Ctrl-C ends it.
    """
    try:
        import uvicorn

        from jiggen.web.app import Settings, create_app
    except ImportError as error:
        _fail(f"the page needs more than is installed ({error.name})", 'pip install "jiggen[page]"', BAD_INPUT)
    names = (*LOOPBACK, *(own_names() if host in EVERY else (host.casefold(),)))
    with _listening(host, port) as listener:
        address = f"http://{_shown(host)}:{listener.getsockname()[1]}/"
        click.echo(f"{address}   (Ctrl-C ends it)")
        if host in EVERY:
            click.echo(f"and for every machine of this network: http://{_own_address()}:{listener.getsockname()[1]}/")
        if browser:
            threading.Timer(0.8, _open, [address]).start()
        config = uvicorn.Config(
            create_app(Settings(names=names)), log_level="warning", access_log=False, server_header=False, lifespan="on"
        )
        with contextlib.suppress(KeyboardInterrupt):
            uvicorn.Server(config).run(sockets=[listener])


def own_names() -> tuple[str, ...]:
    """What the machines of a network call this one: its name alone, with its domain, and with ".local"."""
    whole = socket.gethostname().casefold()
    short = whole.partition(".")[0]
    return tuple(dict.fromkeys(name for name in (whole, short, f"{short}.local") if short))


def _listening(host: str, port: int) -> socket.socket:
    """A socket that listens there; ends the program where it cannot."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    listener = socket.socket(family, socket.SOCK_STREAM)
    if sys.platform != "win32":
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((host, port))
    except (OSError, OverflowError) as error:
        listener.close()
        reason = getattr(error, "strerror", None) or str(error)
        _fail(f"{_shown(host)}:{port} cannot be served ({reason})", "choose another --port or --host", NOT_WRITTEN)
    return listener


def _shown(host: str) -> str:
    name = "127.0.0.1" if host in EVERY else host
    return f"[{name}]" if ":" in name else name


def _own_address() -> str:
    """This machine's address on its network, as far as it has one; nothing is sent (UDP has no greeting)."""
    try:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
            probe.connect(("192.0.2.1", 9))  # RFC 5737: an address that is nobody's
            return str(probe.getsockname()[0])
    except OSError:
        return "ADDRESS-OF-THIS-MACHINE"


def _open(address: str) -> None:
    import webbrowser

    with contextlib.suppress(Exception):
        webbrowser.open(address)


def _fail(found: str, remedy: str, code: int) -> NoReturn:
    click.echo(f"stop: serve: {found}; {remedy}", err=True)
    sys.exit(code)
