"""[as_built.POST], what the tape said on site, turned into values by post."""

from __future__ import annotations

from jiggen.job import ranges
from jiggen.job.model import AsBuilt
from jiggen.job.runs import MEASURED, MOST_POSTS
from jiggen.job.tables import Table

Spans = dict[str, tuple[float, str]]


def read_as_built(job: Table) -> tuple[dict[str, AsBuilt], Spans]:
    """What was measured at each post, and the spans from a post to the next: mm and how measured."""
    built: dict[str, AsBuilt] = {}
    spans: Spans = {}
    for name, table in job.named("as_built", MOST_POSTS).items():
        each = _undersides(table)
        underside = table.maybe("underside", ranges.UNDERSIDE) if each is None else None
        built[name] = AsBuilt(underside, _lean(table), each or {})
        span = table.maybe("span_to_next", ranges.SPAN)
        way = table.choice("measured", MEASURED, "spans")
        if span is not None:
            spans[name] = span, way
        elif table.has("measured"):
            table.problem("measured", "found it without span_to_next", "write the span too, or leave it out")
        table.done()
    return built, spans


def _undersides(table: Table) -> dict[str, float] | None:
    """The underside of each run's rail, where it is written by run; None where it is one length or none."""
    if not isinstance(table.raw("underside"), dict):
        return None
    runs = table.settings("underside")
    if not runs.data:
        table.problem("underside", "found an empty table", 'write a length, or one for each run: { A = "1030 mm" }')
    return {run: runs.amount(run, ranges.UNDERSIDE) for run in runs.data}


def _lean(table: Table) -> tuple[float, float] | None:
    if table.raw("lean") is None:
        return None
    return table.pair("lean", ranges.LEANING, "along and across,")
