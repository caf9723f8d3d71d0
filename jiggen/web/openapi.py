"""The page's own service described as an OpenAPI document: what may be asked, what comes back."""

from __future__ import annotations

from typing import Any

Schema = dict[str, Any]
OBJECT: Schema = {"type": "object"}
JOB: Schema = {
    "type": "object",
    "required": ["state"],
    "properties": {
        "state": {"type": "object", "description": "the tables of a job file", "additionalProperties": True},
        "base": {"type": "string", "description": "the text that it was opened from"},
        "wide": {"type": "number", "description": "mm of drawing that the screen has room for"},
        "sheet": {"type": "string", "description": "name of the sheet to see, such as S1"},
        "jig": {"type": "string", "description": "name of the jig to see, such as S1 or comb"},
        "options": {
            "type": "object",
            "properties": {
                "paper": {"type": "string", "enum": ["letter", "a4", "legal", "tabloid", "a3"]},
                "only": {"type": "array", "items": {"type": "string"}},
                "posts": {"type": "array", "items": {"type": "string"}},
                "draft": {"type": "boolean"},
                "jigs": {"type": "string"},
                "printer": {"type": "string"},
                "correction": {
                    "type": "object",
                    "required": ["across", "along", "skew"],
                    "properties": {key: {"type": "number"} for key in ("across", "along", "skew")},
                },
            },
        },
    },
}
READING: Schema = {
    "type": "object",
    "required": ["name", "paper", "across", "along"],
    "properties": {
        "name": {"type": "string", "maxLength": 24},
        "paper": {"type": "string", "enum": ["letter", "a4", "legal", "tabloid", "a3"]},
        "across": {"type": "string", "maxLength": 60},
        "along": {"type": "string", "maxLength": 60},
        "diagonals": {"type": "string", "maxLength": 60},
    },
}


def openapi(most_form: int, most_upload: int) -> dict[str, Any]:
    """The document. ``most_form``, ``most_upload``: bytes of a body that are read."""
    paths: dict[str, Any] = {
        "/api/about": {"get": _operation("the forms and what may be chosen")},
        "/api/starts/{kind}": {
            "get": _operation(
                "a job to begin from", params=[_path("kind", ["deck", "stair", "ramp"]), METRIC], more=(404,)
            )
        },
        "/api/look": {"post": _operation("plan, problems and drawings of a job", JOB)},
        "/api/sheet": {"post": _operation("one sheet with its marks", JOB)},
        "/api/jig": {"post": _operation("one jig, and which there are", JOB)},
        "/api/form": {"post": _operation("the measure-up form of a job", JOB, out="application/pdf")},
        "/api/open": {"post": _operation("the job in a job file or packet", upload=True)},
        "/api/scan": {"post": _operation("what a scan says", upload=True, params=[DPI, BUILD])},
        "/api/scale/{paper}": {
            "get": _operation(
                "the scale page", params=[_path("paper", ["letter", "a4"])], more=(404,), out="application/pdf"
            )
        },
        "/api/builds": {"post": _operation("begin a packet", JOB, more=(429,), fine=202)},
        "/api/builds/{id}": {
            "get": _operation("how far a packet is", params=[_path("id")], more=(404,)),
            "delete": _operation("cancel a packet", params=[_path("id")], more=(404,)),
        },
        "/api/builds/{id}/files/{name}": {
            "get": _operation(
                "a file of a packet", params=[_path("id"), _path("name")], more=(404,), out="application/octet-stream"
            )
        },
        "/api/printers": {
            "get": _operation("the kept printers", more=(409,)),
            "post": _operation("keep what a scale page measured", READING, more=(409,)),
        },
        "/api/printers/{name}": {"delete": _operation("forget a printer", params=[_path("name")], more=(404, 409))},
    }
    about = f"A body of JSON may have {most_form} bytes, an upload {most_upload}. Only the page itself is answered."
    info = {"title": "jiggen, the local page", "version": "1", "description": about}
    return {"openapi": "3.0.3", "info": info, "paths": paths}


DPI: Schema = {
    "name": "dpi",
    "in": "query",
    "required": False,
    "schema": {"type": "integer", "minimum": 50, "maximum": 5000},
}
BUILD: Schema = {"name": "build", "in": "query", "required": False, "schema": {"type": "string"}}
METRIC: Schema = {"name": "metric", "in": "query", "required": False, "schema": {"type": "string", "enum": ["0", "1"]}}


def _path(name: str, values: list[str] | None = None) -> Schema:
    schema: Schema = {"type": "string", "minLength": 1} | ({"enum": values} if values else {})
    return {"name": name, "in": "path", "required": True, "schema": schema}


def _operation(
    summary: str,
    body: Schema | None = None,
    *,
    upload: bool = False,
    params: list[Schema] | None = None,
    more: tuple[int, ...] = (),
    fine: int = 200,
    out: str = "application/json",
) -> Schema:
    refused = (400, 413, 415) if body or upload else ()
    answers = {
        str(fine): {"description": summary, "content": {out: {"schema": {} if out != "application/json" else OBJECT}}}
    }
    for status in sorted({*refused, *more, 403, 404, 405, 421} - {fine}):
        answers[str(status)] = {"description": "refused", "content": {"application/json": {"schema": OBJECT}}}
    found: Schema = {"summary": summary, "responses": answers}
    if params:
        found["parameters"] = params
    if body:
        found["requestBody"] = {"required": True, "content": {"application/json": {"schema": body}}}
    if upload:
        binary = {"schema": {"type": "string", "format": "binary"}}
        found["requestBody"] = {"required": True, "content": {"application/octet-stream": binary}}
    return found
