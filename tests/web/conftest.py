"""The page's service for the tests: in this process, and on a port of this machine for a browser."""

from __future__ import annotations

import socket
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
import uvicorn
from starlette.testclient import TestClient

from jiggen.web.app import Settings, create_app

BASE = "http://127.0.0.1:8350"


@pytest.fixture(scope="session")
def settings(tmp_path_factory: pytest.TempPathFactory) -> Settings:
    return Settings(printers=tmp_path_factory.mktemp("printers"))


@pytest.fixture(scope="session")
def client(settings: Settings) -> Iterator[TestClient]:
    """One service for all tests; what it does not catch fails the test that asked."""
    with TestClient(create_app(settings), base_url=BASE) as made:
        yield made


@pytest.fixture(scope="session")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The page on a free port of the loopback."""
    listener = socket.socket()
    listener.bind(("127.0.0.1", 0))
    folder = tmp_path_factory.mktemp("kept")
    config = uvicorn.Config(create_app(Settings(printers=folder)), log_level="warning", access_log=False)
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
    thread.start()
    end = time.monotonic() + 20.0
    while not server.started and time.monotonic() < end:
        time.sleep(0.05)
    assert server.started
    yield f"http://127.0.0.1:{listener.getsockname()[1]}/"
    server.should_exit = True
    thread.join(10.0)


@pytest.fixture(scope="session")
def deck() -> str:
    """A deck with a corner and a stair: no stop, two openings to see to."""
    return (Path(__file__).parent / "deck.toml").read_text(encoding="utf-8")


@pytest.fixture(scope="session")
def demo() -> str:
    return (Path(__file__).parents[2] / "jiggen" / "job" / "demo.toml").read_text(encoding="utf-8")
