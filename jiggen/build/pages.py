"""Pages that need no packet turned into PDF files: the scale page and the measure-up form."""

from __future__ import annotations

import json
from math import hypot
from typing import Literal

from jiggen.build.marks import SCALE
from jiggen.build.survey import survey
from jiggen.job.model import Job
from jiggen.sheets.fiducials import rulers, square
from jiggen.sheets.paper import bare, paper
from jiggen.sheets.tiling import single
from jiggen.units import MM_PER_INCH


def scale_file(name: str, margin: float = MM_PER_INCH / 2.0) -> bytes:
    """The scale page alone as a PDF, always uncorrected. Raises ValueError for an unknown paper."""
    from jiggen.compose.scalepage import scale_page
    from jiggen.render.pdf import pdf

    chosen = paper(name, margin)
    page = single(chosen, scale_page(bare(chosen)), label="scale", title="SCALE PAGE", foot="uncorrected")
    across, along = rulers(bare(chosen))
    side = square(bare(chosen))[2]
    told = {"across": across, "along": along, "diagonal": hypot(side, side)}
    return pdf([page], title="Scale page", attachments=[(SCALE, json.dumps(told, sort_keys=True).encode())])


def form_file(
    job: Job | None, name: str, margin: float = MM_PER_INCH / 2.0, units: Literal["in", "mm"] = "in"
) -> bytes:
    """The measure-up form as a PDF: of a job, or blank, with lengths asked for in ``units``.

    Raises ValueError for an unknown paper.
    """
    from jiggen.compose.form import form
    from jiggen.render.pdf import pdf

    chosen = paper(name, margin)
    found = survey(job) if job else None
    drawings = form(
        found.plan if found else None,
        found.problems if found else (),
        bare(chosen),
        units or (job.units if job else "in"),
    )
    foot = f"{found.plan.job.name}   {found.plan.fingerprint}" if found else "blank form"
    pages = [
        single(chosen, drawing, label=f"form {number}", title="MEASURE-UP FORM", foot=foot)
        for number, drawing in enumerate(drawings, 1)
    ]
    return pdf(pages, title=f"Measure-up form {found.plan.job.name}" if found else "Measure-up form")
