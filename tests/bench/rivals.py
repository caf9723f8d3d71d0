"""One page's geometry drawn by other people's libraries: reportlab, cairocffi, matplotlib, svgwrite through cairosvg.

Lettering is given to them as the strokes that we draw, ovals as ovals, dashes and widths as ours. What each gets is
flattened beforehand, so that only its own drawing and writing is timed.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from io import BytesIO
from math import degrees, pi

from jiggen.drawing.scene import Fill, Line, Oval, Shape, Text
from jiggen.geometry import Point
from jiggen.render import glyphs
from jiggen.render.looks import PDF, pen_width
from jiggen.sheets.furniture import common
from jiggen.sheets.model import Page

POINTS = 72.0 / 25.4  # points a mm: 1 in is 25.4 mm and 72 pt


@dataclass(frozen=True)
class Stroke:
    """A polyline: pen width and dashes in mm, grey from 0 (black) to 1."""

    points: tuple[Point, ...]
    closed: bool
    width: float
    dash: tuple[float, ...]
    grey: float


@dataclass(frozen=True)
class Flat:
    """A page as plain geometry, mm, y up."""

    width: float
    height: float
    strokes: tuple[Stroke, ...]
    ovals: tuple[tuple[Oval, float], ...]  # and its pen's width
    fills: tuple[tuple[tuple[Point, ...], float], ...]  # and their grey


def flat(page: Page) -> Flat:
    """A page and its rulers as strokes, ovals and fills."""
    strokes: list[Stroke] = []
    ovals, fills = [], []
    every: Sequence[Shape] = (*page.content, *page.shapes, *(common(page.paper) if page.rulers else ()))
    for shape in every:
        look = PDF[shape.ink]
        if isinstance(shape, Oval):
            ovals.append((shape, look.width))
        elif isinstance(shape, Fill):
            fills.append((shape.points, look.grey))
        elif isinstance(shape, Text):
            wide = pen_width(shape.ink, shape.height)
            grey = 1.0 if shape.white else look.grey
            strokes += [Stroke(way, False, wide, (), grey) for way in glyphs.placed(shape)]
        else:
            ends = (shape.start, shape.end) if isinstance(shape, Line) else shape.points
            closed = not isinstance(shape, Line) and shape.closed
            strokes.append(Stroke(tuple(ends), closed, look.width, look.dash, look.grey))
    return Flat(page.paper.width, page.paper.height, tuple(strokes), tuple(ovals), tuple(fills))


def by_reportlab(page: Flat) -> bytes:
    from reportlab.pdfgen.canvas import Canvas

    out = BytesIO()
    canvas = Canvas(out, pagesize=(page.width * POINTS, page.height * POINTS), invariant=1)
    canvas.scale(POINTS, POINTS)
    for points, grey in page.fills:
        canvas.setFillGray(grey)
        way = canvas.beginPath()
        way.moveTo(*points[0])
        for point in points[1:]:
            way.lineTo(*point)
        way.close()
        canvas.drawPath(way, stroke=0, fill=1)
    for stroke in page.strokes:
        canvas.setLineWidth(stroke.width)
        canvas.setStrokeGray(stroke.grey)
        canvas.setDash(list(stroke.dash))
        way = canvas.beginPath()
        way.moveTo(*stroke.points[0])
        for point in stroke.points[1:]:
            way.lineTo(*point)
        if stroke.closed:
            way.close()
        canvas.drawPath(way)
    canvas.setDash([])
    for oval, width in page.ovals:
        canvas.setLineWidth(width)
        canvas.saveState()
        canvas.translate(*oval.centre)
        canvas.rotate(degrees(oval.angle))
        canvas.ellipse(-oval.rx, -oval.ry, oval.rx, oval.ry)
        canvas.restoreState()
    canvas.showPage()
    canvas.save()
    return out.getvalue()


def by_cairocffi(page: Flat) -> bytes:
    import cairocffi as cairo

    out = BytesIO()
    surface = cairo.PDFSurface(out, page.width * POINTS, page.height * POINTS)
    context = cairo.Context(surface)
    context.scale(POINTS, -POINTS)
    context.translate(0.0, -page.height)
    for points, grey in page.fills:
        context.set_source_rgb(grey, grey, grey)
        context.move_to(*points[0])
        for point in points[1:]:
            context.line_to(*point)
        context.fill()
    for stroke in page.strokes:
        context.set_source_rgb(stroke.grey, stroke.grey, stroke.grey)
        context.set_line_width(stroke.width)
        context.set_dash(list(stroke.dash))
        context.move_to(*stroke.points[0])
        for point in stroke.points[1:]:
            context.line_to(*point)
        if stroke.closed:
            context.close_path()
        context.stroke()
    context.set_dash([])
    for oval, width in page.ovals:
        context.save()
        context.translate(*oval.centre)
        context.rotate(oval.angle)
        context.scale(oval.rx, oval.ry)
        context.arc(0.0, 0.0, 1.0, 0.0, 2.0 * pi)
        context.restore()
        context.set_line_width(width)
        context.stroke()
    surface.finish()
    return out.getvalue()


def by_matplotlib(page: Flat) -> bytes:
    from matplotlib.backends.backend_pdf import FigureCanvasPdf
    from matplotlib.figure import Figure
    from matplotlib.lines import Line2D
    from matplotlib.patches import Ellipse, Polygon

    figure = Figure(figsize=(page.width / 25.4, page.height / 25.4))
    FigureCanvasPdf(figure)
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set_axis_off()
    axes.set_xlim(0.0, page.width)
    axes.set_ylim(0.0, page.height)
    for points, grey in page.fills:
        axes.add_patch(Polygon([tuple(point) for point in points], closed=True, facecolor=str(grey), edgecolor="none"))
    for stroke in page.strokes:
        points = [*stroke.points, stroke.points[0]] if stroke.closed else stroke.points
        # dashes of matplotlib count in pen widths
        dash = (0.0, [part / stroke.width for part in stroke.dash]) if stroke.dash else "-"
        xs, ys = [p.x for p in points], [p.y for p in points]
        axes.add_line(Line2D(xs, ys, linewidth=stroke.width * POINTS, color=str(stroke.grey), linestyle=dash))
    for oval, width in page.ovals:
        axes.add_patch(
            Ellipse(
                tuple(oval.centre), 2 * oval.rx, 2 * oval.ry, angle=degrees(oval.angle), fill=False, lw=width * POINTS
            )
        )
    out = BytesIO()
    figure.savefig(out, format="pdf", metadata={"CreationDate": None})
    return out.getvalue()


def by_svg(page: Flat) -> bytes:
    import cairosvg
    import svgwrite

    size = (f"{page.width}mm", f"{page.height}mm")
    drawing = svgwrite.Drawing(size=size, viewBox=f"0 0 {page.width} {page.height}", debug=False)
    root = drawing.g(fill="none", stroke="black")
    for points, grey in page.fills:
        root.add(drawing.path(d=_way(points, True, page.height), fill=_shade(grey), stroke="none"))
    for stroke in page.strokes:
        more = {"stroke_dasharray": " ".join(map(str, stroke.dash))} if stroke.dash else {}
        way = _way(stroke.points, stroke.closed, page.height)
        root.add(drawing.path(d=way, stroke_width=stroke.width, stroke=_shade(stroke.grey), **more))
    for oval, width in page.ovals:
        x, y = oval.centre.x, page.height - oval.centre.y
        turn = f"rotate({-degrees(oval.angle):.4f} {x:.4f} {y:.4f})"
        root.add(drawing.ellipse((round(x, 4), round(y, 4)), (oval.rx, oval.ry), stroke_width=width, transform=turn))
    drawing.add(root)
    made: bytes = cairosvg.svg2pdf(bytestring=drawing.tostring().encode())
    return made


def _way(points: Sequence[Point], closed: bool, height: float) -> str:
    way = " L ".join(f"{x:.4f} {height - y:.4f}" for x, y in points)
    return f"M {way} Z" if closed else f"M {way}"


def _shade(grey: float) -> str:
    return f"#{round(grey * 255):02x}" + f"{round(grey * 255):02x}" * 2


RIVALS: dict[str, Callable[[Flat], bytes]] = {
    "reportlab canvas": by_reportlab,
    "cairocffi, drawn directly": by_cairocffi,
    "svgwrite through cairosvg": by_svg,
    "matplotlib's PDF": by_matplotlib,
}
