"""The command that serves the page: what it says, where it listens, how it ends."""

from __future__ import annotations

import re
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request

import pytest
from click.testing import CliRunner

from jiggen.cli_serve import own_names, serve


def test_it_serves_at_the_address_that_it_prints() -> None:
    command = [sys.executable, "-c", "from jiggen.cli_serve import serve; serve()", "--no-browser", "--port", "0"]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
    try:
        assert process.stdout
        line = process.stdout.readline()
        found = re.match(r"(http://127\.0\.0\.1:[0-9]+/) ", line)
        assert found, line
        assert b"<title>jiggen</title>" in _opened(found[1])
        with pytest.raises(urllib.error.HTTPError) as refused:
            urllib.request.urlopen(urllib.request.Request(found[1], headers={"Host": "example.org"}), timeout=10)
        assert refused.value.code == 421
    finally:
        process.send_signal(signal.SIGINT)
        assert process.wait(15) in (0, -signal.SIGINT)


@pytest.mark.parametrize(
    ("called", "names"),
    [("Shop.lan", ("shop.lan", "shop", "shop.local")), ("shop.local", ("shop.local", "shop")), ("", ())],
)
def test_a_machine_goes_by_its_names(called: str, names: tuple[str, ...], monkeypatch: pytest.MonkeyPatch) -> None:
    """.local: RFC 6762, 3, the name that a machine has on its own network."""
    monkeypatch.setattr(socket, "gethostname", lambda: called)
    assert own_names() == names


def _opened(address: str) -> bytes:
    """What the page answers, as soon as it does."""
    end = time.monotonic() + 20.0
    while True:
        try:
            return urllib.request.urlopen(address, timeout=10).read()  # type: ignore[no-any-return]
        except urllib.error.URLError:
            if time.monotonic() > end:
                raise
            time.sleep(0.1)


def test_a_port_in_use_is_told() -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        result = CliRunner().invoke(serve, ["--no-browser", "--port", str(port)])
    assert result.exit_code == 3
    assert f"127.0.0.1:{port} cannot be served" in result.output and "choose another --port" in result.output


@pytest.mark.parametrize("arguments", [["--port", "70000"], ["--port", "x"]])
def test_bad_usage_is_2(arguments: list[str]) -> None:
    assert CliRunner().invoke(serve, arguments).exit_code == 2


def test_a_host_that_is_not_here_is_told() -> None:
    result = CliRunner().invoke(serve, ["--no-browser", "--host", "192.0.2.1"])  # RFC 5737: nobody's address
    assert result.exit_code == 3 and "192.0.2.1" in result.output


def test_without_the_extra_it_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "uvicorn", None)
    result = CliRunner().invoke(serve, ["--no-browser"])
    assert result.exit_code == 2
    assert "uvicorn" in result.output and 'pip install "jiggen[page]"' in result.output
