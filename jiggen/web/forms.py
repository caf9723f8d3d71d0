"""The tables of a job turned into what a form needs to ask for them: labels, kinds of field, choices, examples."""

from __future__ import annotations

from typing import Any

from jiggen.handbook import drills, papers, rules, strands, woods
from jiggen.handbook.fittings import generic_brackets, generic_fittings
from jiggen.handbook.posts import nominal_names
from jiggen.shapes.known import SHAPES, size_names
from jiggen.web.starts import STARTS

Field = dict[str, Any]
DATUMS = ("underside", "height line", "deck")


def text(key: str, label: str, inch: str = "", metric: str = "", help: str = "") -> Field:
    """A field for what is typed as it is said, with an example of an inch and of a metric job."""
    return {"key": key, "label": label, "kind": "text", "like": [inch, metric or inch], "help": help}


def choice(key: str, label: str, choices: tuple[str, ...] | str, help: str = "") -> Field:
    """A field with a list of words; a text instead of the list: "kinds", "fittings", "brackets", "codes", "strands"."""
    return {"key": key, "label": label, "kind": "choice", "choices": choices, "help": help}


def of_kind(kind: str, field: Field) -> Field:
    """``field`` as another kind: "whole", "flag", "list" (with commas), "pairs" (with semicolons between)."""
    return {**field, "kind": kind}


def _size_fields() -> tuple[Field, ...]:
    """A field for every size that some shape of post is given by."""
    found = []
    for key, name in size_names().items():
        shapes = ", ".join(shape for shape, value in SHAPES.items() if key in value.keys)
        help = f"{shapes}; measured, not the lumber yard's name"
        found.append(text(key, name.capitalize(), "3 1/2 in", "89 mm", help))
    return tuple(found)


GUARD = (
    text("height", "Height of the guard", "36 in", "1070 mm", "top of the top rail over the deck or the nosings"),
    text("spacing", "Cable spacing", "3 in", "75 mm", "centre to centre; empty: the widest that passes"),
    of_kind("whole", text("count", "Number of cables", "", "", "instead of a spacing, or with it")),
    text("first", "Underside to first cable", "", "", "empty: one spacing"),
    text("bottom_gap", "Gap at the bottom", "2 in", "50 mm", "up to the bottom rail, or to the lowest cable"),
    choice("deck", "People stand on the", ("left", "right"), "walking from a run's first post to its last"),
    choice("mount", "Posts stand on the", ("deck", "side"), "side: on the fascia"),
    text("out", "Deck edge to cables", "2 in", "50 mm", "only for posts on the fascia"),
    text("rail.depth", "Top rail, depth", "1 1/2 in", "38 mm"),
    text("rail.width", "Top rail, width", "3 1/2 in", "89 mm"),
    choice("rail.sits", "Top rail sits", ("between", "over"), "between the posts, or over them"),
    text("bottom_rail.depth", "Bottom rail, depth", "", "", "empty: no bottom rail"),
    text("bottom_rail.width", "Bottom rail, width", "", "", "empty: as the top rail"),
    choice("bracket", "Rail bracket", "brackets"),
    choice("bottom_bracket", "Bottom rail bracket", "brackets"),
    text("stagger", "Shift all cables down by", "", "", 'to clear another run in a shared post; "auto" works it out'),
)

WIRE = (
    text("drop", "Below the underside", "3/4 in", "20 mm"),
    text("face", "Face", "deck side", "", 'deck side, open side, or "toward 2"'),
    text("diameter", "Diameter", "3/8 in", "10 mm"),
)

FORMS: dict[str, tuple[Field, ...]] = {
    "job": (
        text("name", "Name of the job", "Heron Cottage deck", "", "printed on every sheet"),
        choice("code", "Judged by", "codes"),
        choice("units", "Units", ("in", "mm"), "of tape readings and bare numbers"),
        text("fall", "Fall from the deck", "6 ft", "1.8 m", "down to what is below it"),
        text("round_to", "Round readings to", "1/16 in", "0.5 mm", "tables only, the sheets stay exact"),
        of_kind("list", text("drills", "Drill sets", "fraction, number", "metric", ", ".join(drills.SETS))),
        text("alike", "Posts are alike within", "0.1 mm"),
    ),
    "cable": (
        text("diameter", "Diameter", "1/8 in", "3.2 mm"),
        choice("strand", "Strand", "strands"),
        text("tension", "Pull of each cable", "225 lbf", "1000 N"),
        text("install_temperature", "Temperature when pulled", "65 degF", "18 degC"),
        text("coldest", "Coldest", "0 degF", "-20 degC"),
        text("hottest", "Hottest", "110 degF", "43 degC"),
        choice("frame", "Posts and rails are of", ("wood", "steel", "aluminium")),
        text("loss", "Pull lost by settling", "15 %"),
        text("side_force", "Side force to judge by", "", "", "empty: the rule set's, or common practice"),
        text("hang_weight", "Weight for the hang test", "11 lb", "5 kg"),
        of_kind("list", text("spools", "Spools to buy", "100 ft, 250 ft", "30 m, 75 m")),
        text("clearance", "Clearance in line posts", "3/32 in", "2.4 mm"),
        text("trim", "Extra length of a cut", "", "", "for trimming"),
    ),
    "guard": GUARD,
    "posts": (
        choice("line", "Line posts", "kinds", "the cables pass through"),
        choice("end", "End posts", "kinds", "the cables end"),
        choice("corner", "Corner posts", "kinds", "empty: as end posts"),
        choice("transition", "Where level meets raked", "kinds", "empty: as corner posts"),
    ),
    "post": (
        choice("shape", "Shape", tuple(SHAPES)),
        *_size_fields(),
        text("size", "Or its trade size", "4x4", "", "instead of measured sizes"),
        text("material", "Material", "western red cedar"),
        text("wall", "Wall", "", "", "of a hollow post or a sleeve; empty: solid"),
        text("core", "Wood in the sleeve", "", "", "its outside size"),
        text("rotate", "Turned by", "", "", 'an angle, or "bisect"'),
        choice("bore", "Holes are bored", ("along", "square"), "along the cable, or square to the face"),
        choice(
            "slot",
            "Where a cable slants",
            ("round", "file"),
            "in a thin wall: one larger round hole, or a slot to file",
        ),
        text("grommet", "Grommet, outside diameter"),
        text("radius", "Radius of eased corners"),
        of_kind("list", text("fixed", "A spacer bar is fixed at", "top, bottom")),
    ),
    "run": (
        text("id", "Name of the run", "A"),
        text("turn", "Turn at its first post", "left 90 deg", "", "from the heading of the run before"),
        choice("start", "Fitting at the first post", "fittings"),
        choice("finish", "Fitting at the last post", "fittings"),
        of_kind(
            "flag", text("led_on", "Its cables go on from the run before", "", "", "round the post that both end at")
        ),
        text("gap_at_start", "Gap beside the first post", "", "", "to a wall or another post"),
        text("gap_at_finish", "Gap beside the last post", "", "", "to a wall or another post"),
        text("heading", "Heading", "", "", "only of a run that shares no post"),
        of_kind("list", text("at", "Place of its first post", "", "", "x, y, z; only of a run that shares no post")),
    ),
    "stair": (
        text("rise", "Rise of a step", "7 in", "178 mm"),
        text("going", "Going, nosing to nosing", "11 in", "280 mm"),
        text("overhang", "Overhang of a nosing", "1 in", "25 mm"),
        choice("goes", "It goes", ("up", "down"), "from the first post to the last"),
        text(
            "first_behind_nosing", "First post behind a nosing", "5 in", "125 mm", "its centre to the nosing downhill"
        ),
        text("last_behind_nosing", "Last post behind a nosing", "", "", "negative on the floor below"),
    ),
    "ramp": (
        text("slope", "Slope", "1 in 12"),
        choice("goes", "It goes", ("up", "down"), "from the first post to the last"),
    ),
    "spacers": (
        choice("kind", "Kind of bar", "kinds"),
        of_kind("whole", text("each", "Bars in each span", "1")),
    ),
    "wire": WIRE,
    "fitting": (
        of_kind("list", text("outline", "Flange: across, up", "1 1/2 in, 3 in", "38 mm, 68 mm")),
        text("flange", "Flange, thickness", "3/16 in", "5 mm"),
        of_kind(
            "pairs",
            text(
                "screws",
                "Screws: across, up",
                "0 in, 1 in; 0 in, -1 in",
                "0 mm, 24 mm; 0 mm, -24 mm",
                "from its centre",
            ),
        ),
        text("screw", "Screw", "#14 x 2 1/2 in", "6 x 60 mm"),
        text("pivot", "Face to pivot", "7/8 in", "22 mm", "empty: rigid"),
        choice("swivels", "It swivels", ("up-down", "any")),
        text("setback", "Face to the cable's end", "3 in", "76 mm", "opened out"),
        text("travel", "Thread it takes up", "1 3/8 in", "35 mm"),
        text("takes_up", "In one turn", "1/12 in", "2 mm"),
        text("bore", "Bore on its centre", "", "", "of a stud"),
        text("bore_depth", "Depth of that bore", "", "", "empty: through"),
        text("washer", "Nut and washer behind the post", "", "", "outside diameter"),
        of_kind("flag", text("at_rake", "Bored at the cable's angle")),
        text("passes_through", "Must pass through line posts", "", "", "diameter, where ends are swaged on before"),
    ),
    "bracket": (
        of_kind("list", text("outline", "Flange: across, up", "2 in, 2 1/2 in", "50 mm, 64 mm")),
        of_kind(
            "pairs",
            text("screws", "Screws: across, up", "5/8 in, 7/8 in; -5/8 in, 7/8 in", "", "up from the rail's underside"),
        ),
        text("screw", "Screw", "#10 x 1 1/2 in", "5 x 40 mm"),
        text("flange", "Flange, thickness", "1/8 in", "3 mm"),
    ),
    "as_built": (
        text("underside", "Underside over the deck", "34 3/8 in", "873 mm"),
        text("span_to_next", "Span to the next post", "44 in", "1120 mm"),
        choice(
            "measured", "Span measured as", ("spans", "clear", "slope"), "between centres, clear, or along the rake"
        ),
        of_kind("list", text("lean", "Lean: along, across", "5 mm per m, 0 mm per m", "", "mm in a metre")),
    ),
    "sheet": (
        choice("paper", "Paper", "papers"),
        text("margin", "Margin", "1/2 in", "12.7 mm", "what the printer cannot reach"),
        text("overlap", "Overlap of pages", "3/8 in", "9.5 mm"),
        choice("kind", "A sheet shows", ("face", "wrap"), "one face, or goes round the post"),
        choice("datum", "Seated on the", DATUMS, "underside of the rail, pencilled height line, or deck"),
    ),
    "limits": (
        text("min_web", "Least wood between holes", "6 mm"),
        text("min_edge", "Least wood to an edge", "", "", "empty: the usual"),
    ),
    "jig": (
        text("thickness", "Board, measured", "0.236 in", "6 mm"),
        text("kerf", "Kerf, full width", "0.2 mm"),
        of_kind("list", text("bed", "Bed of the machine", "24 in, 16 in", "600 mm, 400 mm")),
        of_kind("list", text("stock", "Sheet of board", "48 in, 24 in", "1200 mm, 600 mm")),
        text("bushing", "Drill bushing, outside", "", "", "empty: none"),
    ),
}


def about() -> dict[str, Any]:
    """Everything that the page asks for once: the forms, what may be chosen, the starts."""
    return {
        "forms": {name: list(fields) for name, fields in FORMS.items()},
        "choices": {
            "codes": list(rules.rule_names()),
            "strands": list(strands.strand_names()),
            "papers": list(papers.names()),
            "fittings": list(generic_fittings()),
            "brackets": list(generic_brackets()),
            "woods": list(woods.material_names()),
            "sizes": list(nominal_names()),
            "shapes": {name: list(shape.keys) for name, shape in SHAPES.items()},
        },
        "generic": {"fitting": dict(generic_fittings()), "bracket": dict(generic_brackets())},
        "starts": dict(STARTS),
    }
