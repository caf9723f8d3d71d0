"""The page's requests turned into answers: files of the page, looks at a job, sheets, packets, printers."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator, Awaitable, Callable, Coroutine, Iterable
from contextlib import asynccontextmanager
from dataclasses import dataclass
from datetime import date
from importlib import resources
from pathlib import Path
from typing import Any, TypeVar

from jinja2 import DictLoader, Environment, select_autoescape
from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect, Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from jiggen.problems import JobError
from jiggen.web import forms, printing, scanning
from jiggen.web.builds import Build, Builds, FullError, zipped
from jiggen.web.guarding import Guard
from jiggen.web.openapi import openapi
from jiggen.web.places import every
from jiggen.web.starts import STARTS, first_job
from jiggen.web.state import to_state
from jiggen.web.workers import GoneError, Pool, TooLongError

MB = 1024 * 1024
NEARLY = 0.5  # s: what is done by then is not ended, as a fresh working process takes about as long to begin
TYPES = {".js": "text/javascript", ".css": "text/css", ".svg": "image/svg+xml", ".json": "application/json"}
T = TypeVar("T")
UPLOADS = ("open", "scan")
KINDS = {".pdf": "application/pdf", ".svg": "image/svg+xml", ".csv": "text/csv", ".png": "image/png"}


@dataclass(frozen=True, slots=True)
class Settings:
    """``names``: host names that the page goes by. ``printers``: a folder instead of the user's. Limits in bytes, seconds."""

    names: tuple[str, ...] = ("127.0.0.1", "localhost", "::1")
    printers: Path | None = None
    most_upload: int = 32 * MB
    most_form: int = 5 * MB
    look_limit: float = 10.0
    build_limit: float = 300.0
    lookers: int = 2
    builders: int = 1


class Page:
    """Everything that the routes share."""

    def __init__(self, settings: Settings) -> None:
        self.settings = settings
        self.lookers = Pool(settings.lookers)
        self.slow = Pool(1)
        self.makers = Pool(settings.builders)
        self.builds = Builds(self.makers, settings.build_limit)
        self.files = static_files()
        self.about = json.dumps({**forms.about(), "scan": scanning.available()}).encode()
        self.page = _page()

    @asynccontextmanager
    async def living(self, _: Starlette) -> AsyncIterator[None]:
        await asyncio.gather(self.lookers.warm(), self.slow.warm())
        yield
        await self.builds.close()
        await asyncio.gather(self.lookers.close(), self.slow.close(), self.makers.close())

    async def index(self, request: Request) -> Response:
        return Response(self.page, media_type="text/html")

    async def static(self, request: Request) -> Response:
        name = request.path_params["name"]
        if name not in self.files:
            raise HTTPException(404, "there is no such file")
        return Response(self.files[name], media_type=TYPES["." + name.rpartition(".")[2]])

    async def said(self, request: Request) -> Response:
        return Response(self.about, media_type="application/json")

    async def api(self, request: Request) -> Response:
        return JSONResponse(openapi(self.settings.most_form, self.settings.most_upload))

    async def start(self, request: Request) -> Response:
        kind = request.path_params["kind"]
        if kind not in STARTS:
            raise HTTPException(404, "there is no such start")
        return JSONResponse({"state": to_state(first_job(kind, request.query_params.get("metric") == "1"))})

    async def look(self, request: Request) -> Response:
        return await self._ask(request, "look", await self._form(request))

    async def sheet(self, request: Request) -> Response:
        return await self._ask(request, "sheet", await self._form(request))

    async def jig(self, request: Request) -> Response:
        return await self._ask(request, "jig", await self._form(request))

    async def form(self, request: Request) -> Response:
        """The measure-up form as a PDF; problems as JSON where the job cannot be planned."""
        return await self._ask(request, "form", await self._form(request))

    async def open(self, request: Request) -> Response:
        return await self._ask(request, "open", {}, await self._upload(request))

    async def scan(self, request: Request) -> Response:
        """A scan, against the packet of ``build`` where one is named; ``dpi``: what the scanner was set to."""
        build = self.builds.kept.get(request.query_params.get("build", ""))
        packet = build.files.get("packet.pdf", b"") if build else b""
        dpi = request.query_params.get("dpi", "")
        form = {"dpi": int(dpi)} if dpi.isascii() and dpi.isdecimal() and len(dpi) < 6 else {}
        return await self._ask(request, "scan", form, packet + await self._upload(request), len(packet))

    async def scale(self, request: Request) -> Response:
        paper = request.path_params["paper"]
        if paper not in printing.PAPERS:
            raise HTTPException(404, "there is no such paper")
        answer = await self._ask(request, "scale", {"paper": paper})
        if answer.media_type != "application/pdf":
            return answer
        return _download(bytes(answer.body), f"scale-{paper}.pdf")

    async def builds_start(self, request: Request) -> Response:
        form = await self._form(request)
        try:
            return JSONResponse(self.builds.start(form).told(), 202)
        except FullError:
            raise HTTPException(429, "too many packets wait to be made") from None

    async def build_told(self, request: Request) -> Response:
        return JSONResponse(self._build(request).told())

    async def build_cancel(self, request: Request) -> Response:
        build = self._build(request)
        await self.builds.cancel(build)
        return JSONResponse(build.told())

    async def build_file(self, request: Request) -> Response:
        build, name = self._build(request), request.path_params["name"]
        if name == "packet.zip" and build.files:
            return _download(zipped(build.files), "packet.zip")
        if name not in build.files:
            raise HTTPException(404, "there is no such file")
        return _download(build.files[name], name.rpartition("/")[2])

    async def printers(self, request: Request) -> Response:
        return JSONResponse(printing.listed(self.settings.printers, date.today()))

    async def printers_keep(self, request: Request) -> Response:
        try:
            return JSONResponse(printing.keep(await self._form(request), self.settings.printers, date.today()))
        except JobError as error:
            return JSONResponse({"problems": every(error.problems, None)})

    async def printers_forget(self, request: Request) -> Response:
        try:
            return JSONResponse({"papers": printing.forget(request.path_params["name"], self.settings.printers)})
        except JobError as error:
            return JSONResponse({"problems": every(error.problems, None)})

    def _build(self, request: Request) -> Build:
        build = self.builds.kept.get(request.path_params["id"])
        if build is None:
            raise HTTPException(404, "that packet is not here any more, make it again")
        return build

    async def _form(self, request: Request) -> dict[str, Any]:
        """A JSON object that the page sent. Raises HTTPException for anything else."""
        if request.headers.get("content-type", "").partition(";")[0].strip().lower() != "application/json":
            raise HTTPException(415, "send JSON")
        body = await request.body()
        if len(body) > self.settings.most_form:
            raise HTTPException(413, f"more than {self.settings.most_form // MB} MB are not read")
        try:
            found = json.loads(body)
        except (ValueError, RecursionError):
            raise HTTPException(400, "that is no JSON") from None
        if not isinstance(found, dict):
            raise HTTPException(400, "that is no JSON object")
        return found

    async def _upload(self, request: Request) -> bytes:
        if request.headers.get("content-type", "").partition(";")[0].strip().lower() != "application/octet-stream":
            raise HTTPException(415, "send the file as application/octet-stream")
        return await request.body()

    async def _ask(
        self, request: Request, kind: str, form: dict[str, Any], body: bytes = b"", packet: int = 0
    ) -> Response:
        ask = {"kind": kind, "request": form, "packet": packet}
        try:
            pool = self.lookers if kind == "look" else self.slow
            head, answer = await _unless_left(request, pool.ask(ask, body, self.settings.look_limit))
        except (TooLongError, GoneError) as error:
            long = f"it took longer than {self.settings.look_limit:.0f} seconds"
            found = long if isinstance(error, TooLongError) else "it was more than this machine could work out"
            return JSONResponse({"planned": False, "problems": [_too_much(found, kind in UPLOADS)]})
        except LeftError:
            return await _gone()
        return Response(answer, media_type="application/pdf" if "pdf" in head else "application/json")


class LeftError(Exception):
    """Raised when whoever asked has gone before the answer was there."""


async def _unless_left(request: Request, work: Coroutine[Any, Any, T]) -> T:
    """What ``work`` gives; it is cancelled where the browser takes back its request. Raises LeftError then."""
    task, left = asyncio.create_task(work), asyncio.create_task(_left(request))
    try:
        await asyncio.wait((task, left), return_when=asyncio.FIRST_COMPLETED)
        if not task.done():
            await asyncio.wait((task,), timeout=NEARLY)
        if not task.done():
            raise LeftError
        return task.result()
    finally:
        left.cancel()
        task.cancel()


async def _left(request: Request) -> None:
    while (await request.receive())["type"] != "http.disconnect":
        pass


def create_app(settings: Settings | None = None) -> Guard:
    """The page as an ASGI application, guarded; nothing is read from or written to disk but the printers' profiles."""
    settings = settings or Settings()
    page = Page(settings)
    inner = Starlette(
        routes=[Route(path, to, methods=[method]) for method, path, to in _routes(page)],
        lifespan=page.living,
        exception_handlers={HTTPException: _refused, OSError: _disk, ClientDisconnect: _gone},
    )
    inner.router.redirect_slashes = False
    return Guard(inner, settings.names, settings.most_upload)


Handler = Callable[[Request], Awaitable[Response]]


def _routes(page: Page) -> Iterable[tuple[str, str, Handler]]:
    return (
        ("GET", "/", page.index),
        ("GET", "/static/{name}", page.static),
        ("GET", "/api/about", page.said),
        ("GET", "/api/openapi.json", page.api),
        ("GET", "/api/starts/{kind}", page.start),
        ("POST", "/api/look", page.look),
        ("POST", "/api/sheet", page.sheet),
        ("POST", "/api/jig", page.jig),
        ("POST", "/api/form", page.form),
        ("POST", "/api/open", page.open),
        ("POST", "/api/scan", page.scan),
        ("GET", "/api/scale/{paper}", page.scale),
        ("POST", "/api/builds", page.builds_start),
        ("GET", "/api/builds/{id}", page.build_told),
        ("DELETE", "/api/builds/{id}", page.build_cancel),
        ("GET", "/api/builds/{id}/files/{name:path}", page.build_file),
        ("GET", "/api/printers", page.printers),
        ("POST", "/api/printers", page.printers_keep),
        ("DELETE", "/api/printers/{name}", page.printers_forget),
    )


def static_files() -> dict[str, bytes]:
    """The page's own files by name, read once: what a browser asks for is looked up here and never on the disk."""
    folder = resources.files("jiggen.web").joinpath("static")
    return {
        entry.name: entry.read_bytes() for entry in folder.iterdir() if "." + entry.name.rpartition(".")[2] in TYPES
    }


def _page() -> str:
    folder = resources.files("jiggen.web").joinpath("templates")
    sources = {
        entry.name: entry.read_text(encoding="utf-8") for entry in folder.iterdir() if entry.name.endswith(".html")
    }
    environment = Environment(loader=DictLoader(sources), autoescape=select_autoescape(default=True))
    return environment.get_template("page.html").render(papers=printing.PAPERS, scan=scanning.available())


def _download(data: bytes, name: str) -> Response:
    media = KINDS.get("." + name.rpartition(".")[2], "application/octet-stream")
    return Response(data, media_type=media, headers={"content-disposition": f'attachment; filename="{name}"'})


def _too_much(found: str, upload: bool) -> dict[str, Any]:
    return {
        "level": "stop",
        "where": "the file" if upload else "the job",
        "found": found,
        "remedy": "choose a smaller file" if upload else "take back what was typed last; everything typed is kept",
        "source": "",
        "runs": [],
        "posts": [],
        "marks": [],
        "path": [],
        "cures": [],
    }


async def _refused(_: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    return JSONResponse({"error": error.detail}, error.status_code, headers=error.headers)


async def _gone(*_: object) -> Response:
    """A request broken off before all of it was there: nobody reads what is answered."""
    return Response(status_code=204)


async def _disk(_: Request, error: Exception) -> Response:
    """The printers' folder cannot be read or written; its path stays here."""
    words = getattr(error, "strerror", None) or "no reason given"
    return JSONResponse({"error": f"the kept printers cannot be read or written ({words})"}, 409)
