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
        built[name] = AsBuilt(table.maybe("underside", ranges.UNDERSIDE), _lean(table))
        span = table.maybe("span_to_next", ranges.SPAN)
        way = table.choice("measured", MEASURED, "spans")
        if span is not None:
            spans[name] = span, way
        elif table.has("measured"):
            table.problem("measured", "found it without span_to_next", "write the span too, or leave it out")
        table.done()
    return built, spans


def _lean(table: Table) -> tuple[float, float] | None:
    if table.raw("lean") is None:
        return None
    return table.pair("lean", ranges.LEANING, "along and across,")
