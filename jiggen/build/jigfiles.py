"""A jig turned into the files of its panels, each one read back before it counts."""

from __future__ import annotations

import json

from jiggen.build.marks import guides, jig_data
from jiggen.build.model import Made, ReadBackError, Survey
from jiggen.verify import Deviation


def jig_files(found: Survey, made: Made) -> tuple[dict[str, bytes], list[Deviation]]:
    """The panels of a jig as SVG and DXF by name, each read back: guide holes, outlines and slots against the plan, kerf put back.

    Raises ReadBackError.
    """
    from jiggen.compose.jig import operations
    from jiggen.readback.contour import read_svg_contours
    from jiggen.readback.dxf import read_dxf, read_dxf_contours
    from jiggen.readback.svg import read_svg
    from jiggen.render.dxf import dxf
    from jiggen.render.shop import shop_svg
    from jiggen.verify import edges
    from jiggen.verify.jig import check as check_jig

    jig, drawings = made.jig, made.layout.drawings
    colours = operations(jig.wish)
    meta = json.dumps(jig_data(found, made), ensure_ascii=True)
    svgs = [shop_svg(drawing, colours, metadata=meta) for drawing in drawings]
    dxfs = [dxf(drawing, colours) for drawing in drawings]
    wanted = guides(found, jig)
    off: list[Deviation] = []
    read = (
        ([(read_svg(data), read_svg_contours(data)) for data in svgs], True),
        ([(read_dxf(data), read_dxf_contours(data)) for data in dxfs], False),
    )
    for files, down in read:
        deviations, problems = check_jig(jig.id, wanted, files, jig.wish.kerf, down)
        problems += edges.check(edges.targets(jig), files, down)
        if problems:
            raise ReadBackError(problems)
        off += deviations
    named = {}
    for kind, panels in (("svg", svgs), ("dxf", dxfs)):
        for number, data in enumerate(panels, 1):
            named[f"jigs/{jig.id}{f'-{number}' if number > 1 else ''}.{kind}"] = data
    return named, off
