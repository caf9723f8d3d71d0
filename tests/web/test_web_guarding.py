"""Requests that do not come from the page itself, and requests that mean harm."""

from __future__ import annotations

import asyncio
import json
from typing import Any

import pytest
from starlette.testclient import TestClient

from jiggen.web.app import Settings, create_app
from jiggen.web.guarding import split_host

JSON = {"content-type": "application/json"}
BYTES = {"content-type": "application/octet-stream"}


@pytest.mark.parametrize("path", ["/api/look", "/api/open", "/api/builds", "/api/printers"])
def test_a_request_that_is_broken_off_raises_nothing(path: str) -> None:
    """As when a browser is closed in the middle of an upload."""
    came: list[dict[str, Any]] = [
        {"type": "http.request", "body": b"{", "more_body": True},
        {"type": "http.disconnect"},
    ]
    kind = b"application/octet-stream" if path == "/api/open" else b"application/json"
    headers = [(b"host", b"127.0.0.1:8350"), (b"content-type", kind), (b"content-length", b"1000")]
    scope = {"type": "http", "http_version": "1.1", "method": "POST", "scheme": "http", "path": path, "raw_path": b""}
    sent: list[Any] = []

    async def receive() -> Any:
        return came.pop(0)

    async def send(message: Any) -> None:
        sent.append(message)

    whole = {**scope, "query_string": b"", "headers": headers, "server": ("127.0.0.1", 8350)}
    asyncio.run(create_app(Settings())(whole, receive, send))
    assert sent[0]["status"] == 204


@pytest.mark.parametrize("host", ["127.0.0.1:8350", "localhost:8350", "LOCALHOST:8350", "[::1]:8350"])
def test_the_pages_own_names_are_served(client: TestClient, host: str) -> None:
    assert client.get("/", headers={"host": host}).status_code == 200


@pytest.mark.parametrize(
    "host",
    [
        "example.org",
        "example.org:8350",
        "127.0.0.1",
        "127.0.0.1:80",
        "127.0.0.1:8350.example.org",
        "127.0.0.1.example.org:8350",
        "localhost:8350@example.org",
        "",
        "localhost:999999999999",
        "localhost:",
        "10.0.0.1:8350",
    ],
)
def test_other_names_are_not(client: TestClient, host: str) -> None:
    """DNS rebinding: a foreign name that resolves to this machine arrives with that name in Host (RFC 9110, 7.2)."""
    answer = client.get("/api/about", headers={"host": host})
    assert answer.status_code == 421  # RFC 9110, 15.5.20: Misdirected Request
    assert "forms" not in answer.text


def test_the_address_that_the_connection_came_to_is_served_and_no_name_for_it() -> None:
    """Served to a network: a phone asks for this machine's address; a foreign name that resolves to it is refused."""
    client = TestClient(create_app(Settings()), base_url="http://192.168.7.20:8350")
    assert client.get("/").status_code == 200
    assert client.get("/", headers={"host": "192.168.7.21:8350"}).status_code == 421
    assert client.get("/", headers={"host": "guard.example.org:8350"}).status_code == 421


@pytest.mark.parametrize(
    "origin", ["http://example.org", "https://127.0.0.1:8350", "http://127.0.0.1", "null", "file://"]
)
def test_calls_from_other_pages_are_refused(client: TestClient, origin: str) -> None:
    for method, path in (("POST", "/api/look"), ("GET", "/api/about"), ("DELETE", "/api/printers/x")):
        answer = client.request(
            method, path, headers={**JSON, "origin": origin}, content=b"{}" if method == "POST" else b""
        )
        assert answer.status_code == 403
        assert "access-control-allow-origin" not in answer.headers


@pytest.mark.parametrize("site", ["cross-site", "same-site"])
def test_what_the_browser_calls_cross_site_is_refused(client: TestClient, site: str) -> None:
    assert client.get("/api/about", headers={"sec-fetch-site": site}).status_code == 403
    assert client.get("/", headers={"sec-fetch-site": site}).status_code == 200  # a link to the page may be followed


def test_preflight_allows_nothing(client: TestClient) -> None:
    """Fetch standard: without access-control headers a browser does not send the real request."""
    answer = client.options(
        "/api/look", headers={"origin": "http://127.0.0.1:8350", "access-control-request-method": "POST"}
    )
    assert answer.status_code == 405
    assert not [name for name in answer.headers if name.startswith("access-control")]


@pytest.mark.parametrize("kind", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data", ""])
def test_what_a_foreign_form_can_send_is_not_read(client: TestClient, kind: str) -> None:
    """The three content types that need no preflight (Fetch standard, CORS-safelisted)."""
    assert client.post("/api/look", content=b"{}", headers={"content-type": kind}).status_code == 415
    assert client.post("/api/open", content=b"{}", headers={"content-type": kind}).status_code == 415


def test_every_answer_carries_the_policy(client: TestClient) -> None:
    for path in ("/", "/static/main.js", "/api/about", "/nothing"):
        answer = client.get(path)
        policy = answer.headers["content-security-policy"]
        assert "default-src 'none'" in policy and "unsafe" not in policy and "frame-ancestors 'none'" in policy
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers["referrer-policy"] == "no-referrer"


def test_the_page_has_nothing_inline_and_nothing_from_elsewhere(client: TestClient) -> None:
    page = client.get("/").text
    assert "<style" not in page and " style=" not in page and "onclick" not in page and "http" not in page
    assert page.count("<script") == page.count('<script type="module" src="/static/main.js"></script>') == 1
    for name in ("main.js", "board.js", "page.css"):
        text = client.get(f"/static/{name}").text
        assert "//cdn" not in text and "innerHTML" not in text and "eval(" not in text
        assert "@import url" not in text and "https://" not in text


@pytest.mark.parametrize(
    "path",
    [
        "/static/../app.py",
        "/static/..%2fapp.py",
        "/static/%2e%2e/app.py",
        "/static//etc/passwd",
        "/static/%2fetc%2fpasswd",
        "/static/..\\app.py",
        "/static/main.js%00.txt",
        "/static/",
        "/api/builds/../files/x",
        "/api/builds/x/files/../../../../etc/passwd",
        "/api/scale/..%2f..%2fletter",
        "/api/starts/..",
    ],
)
def test_path_tricks_reach_nothing(client: TestClient, path: str) -> None:
    answer = client.get(path)
    assert answer.status_code in (404, 405)
    assert "root:" not in answer.text and "import" not in answer.text


@pytest.mark.parametrize("name", ["../x", "..", "a/b", "%2e%2e%2fx", "x.toml", "con\x00", "a" * 25])
def test_printer_names_reach_no_file(client: TestClient, name: str, settings: object) -> None:
    answer = client.request("DELETE", f"/api/printers/{name.replace(chr(0), '%00')}")
    assert answer.status_code in (200, 404)
    if answer.status_code == 200:
        assert answer.json()["problems"][0]["level"] == "stop"
    reading = {"name": name, "paper": "letter", "across": "190.6 of 190.5 mm", "along": "239.1 of 240 mm"}
    assert client.post("/api/printers", json=reading).json()["problems"][0]["where"].startswith(("printer", "name"))
    assert list(settings.printers.iterdir()) == []  # type: ignore[attr-defined]


def test_large_bodies_are_not_read(client: TestClient) -> None:
    answer = client.post("/api/look", content=b" " * (6 * 1024 * 1024), headers=JSON)
    assert answer.status_code == 413
    said = client.post("/api/open", content=b"", headers={**BYTES, "content-length": str(64 * 1024 * 1024)})
    assert said.status_code == 413


def test_large_bodies_in_pieces_are_not_read(client: TestClient) -> None:
    """Chunked, without a length: counted as it comes."""

    def pieces() -> object:
        for _ in range(40):
            yield b" " * 1024 * 1024

    assert client.post("/api/open", content=pieces(), headers=BYTES).status_code == 413  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "body",
    [b"", b"{", b"[]", b"null", b"7", b'"x"', b"\xff\xfe", b"[" * 100000, b'{"a":' * 100000, b"1" * 5000],
    ids=["nothing", "open", "list", "null", "number", "text", "bytes", "deep list", "deep table", "long number"],
)
def test_bodies_without_sense_are_refused(client: TestClient, body: bytes) -> None:
    assert client.post("/api/look", content=body, headers=JSON).status_code == 400


@pytest.mark.parametrize(
    "form",
    [
        {},
        {"state": None},
        {"state": []},
        {"state": {}, "base": 7},
        {"state": {}, "wide": "x"},
        {"state": {}, "wide": 1e308},
    ],
)
def test_forms_without_sense_come_back_as_problems(client: TestClient, form: dict[str, object]) -> None:
    answer = client.post("/api/look", content=json.dumps(form), headers=JSON)
    assert answer.status_code == 200
    assert not answer.json()["planned"] and answer.json()["problems"]


BOMBS = {
    "no file": b"",
    "no TOML": b"[[[[",
    "no UTF-8": b"\xff\xfe\x00a",
    "deep tables": b"a = " + b"{ b = " * 3000,
    "deep list": b"a = " + b"[" * 50000,
    "many dots": b".".join([b"a"] * 20000) + b" = 1",
    "long number": b"a = " + b"9" * 200000,
    "long hexadecimal number": b"a = 0x" + b"f" * 20000,
    "many keys": b"".join(b"k%d = 1\n" % number for number in range(60000)),
    "many runs": b"[[run]]\nposts = ['1', '2']\nspans = ['1 in']\n" * 20000,
    "no tables": b"job = 3\npost = 'x'\nrun = [1, 2]\n",
    "no table of a post": b"[job]\nname = 'x'\n[post]\nslim = 3\n",
    "no PDF": b"%PDF-1.7\n" + b"\x00" * 1000,
    "no image": b"\x89PNG\r\n\x1a\n" + b"\x00" * 1000,
    "entities": b'<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]><svg>&b;</svg>',
}


@pytest.mark.parametrize("name", BOMBS)
def test_hostile_files_come_back_as_problems(client: TestClient, name: str) -> None:
    answer = client.post("/api/open", content=BOMBS[name], headers=BYTES)
    assert answer.status_code == 200
    if "state" not in answer.json():
        assert answer.json()["problems"][0]["level"] == "stop"
        assert "Traceback" not in answer.text
    else:
        look = client.post("/api/look", json={"state": answer.json()["state"]})
        assert look.status_code == 200 and not look.json()["planned"] and look.json()["problems"]


@pytest.mark.parametrize("name", ["no file", "no image", "no PDF", "entities"])
def test_a_scan_that_is_no_image_comes_back_as_a_problem(client: TestClient, name: str) -> None:
    answer = client.post("/api/scan?dpi=300", content=BOMBS[name], headers=BYTES)
    assert answer.status_code == 200
    assert answer.json()["problems"][0]["level"] == "stop"


def test_hosts_are_split() -> None:
    assert split_host("127.0.0.1:8350") == ("127.0.0.1", 8350)
    assert split_host("localhost") == ("localhost", 80)  # RFC 9110, 4.2.1: the default port of http
    assert split_host("[::1]:8350") == ("::1", 8350)
    assert split_host("[::1]") == ("::1", 80)
    assert split_host("a:b") == ("a", -1)
