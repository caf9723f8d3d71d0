"""A plan and one of its groups turned into jigs, one for each face with marks; a job into its comb and discs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import atan, degrees

from jiggen.job.model import JigWish, Job
from jiggen.plan.alike import alike, seat_height
from jiggen.plan.faces import AWAY
from jiggen.plan.jigs import gauges
from jiggen.plan.jigs.checks import check, small_holes
from jiggen.plan.jigs.labels import hole_words, plate_words, small_words
from jiggen.plan.jigs.model import FIT, HUG, RUN, Jig, Part, Piece
from jiggen.plan.jigs.pieces import BELOW, MARGIN, TAB, join_words, pieces, plate_half, room, wrong
from jiggen.plan.jigs.plain import guides_of, plate, plate_holes, stop, tilt_of_plate, wall
from jiggen.plan.jigs.site import Site, site
from jiggen.plan.jigs.stack import layers, play_words
from jiggen.plan.model import Group, Plan, PostFace
from jiggen.plan.words import fine, length
from jiggen.problems import Problem

CAUTIONS = (
    "Eye protection at every cut and every hole.",
    "A laser: stay with it while it runs, a fire is put out in its first seconds; extinguisher at hand, air on.",
    "Fumes: draw them off outside. Hardboard, MDF and plywood give off formaldehyde and soot, acrylic burns. Never PVC or "
    "other boards with chlorine.",
    "What machine, power and speed: the shop knows its own; nothing here is said of any machine. Cut the comb first.",
)

COMB = (
    "Cut this first, from the board that the jigs are cut from, with the settings that they are cut with.",
    "Part 1: slide the board's edge into the slots. The number at the slot that it slides into with light pressure is "
    "the board's thickness: write it in [jig] as thickness.",
    "Parts 2 and 3: find the one number at which tab and window slide into each other without play. That number is the "
    "kerf: write it in [jig] as kerf, then make the jigs again.",
)
DISCS = (
    "Each disc is as wide as the sphere that the rules name. Hold it square to the cables and push: where it passes, the "
    "guard is open too far.",
    "Try every opening at the middle of its span, and the disc marked TRIANGLE at each step, with the cables at their "
    "working pull. An inspector may use a ball and a measured push; the local code rules.",
)


def jigs(plan: Plan, group: Group) -> tuple[Jig, ...]:
    """The jigs of a group: one for each drawn face with marks; ids S1, or S1a, S1b where there are several.

    Without a [jig] table in the job: (). Problems are in the jig; with a stop among them it may have no parts.
    """
    wish = plan.job.jig
    if wish is None:
        return ()
    served = _alike(plan, group, [face for face in _faces(plan, group) if face.marks])
    names = [group.id] if len(served) == 1 else [f"{group.id}{chr(97 + i)}" for i in range(len(served))]
    return tuple(_jig(plan, group, faces, name, wish) for faces, name in zip(served, names, strict=True))


def _alike(plan: Plan, group: Group, faces: Sequence[PostFace]) -> list[list[PostFace]]:
    """Faces that one and the same jig serves, together."""
    found: list[list[PostFace]] = []
    for face in faces:
        for others in found:
            if _same(plan, group, others[0], face):
                others.append(face)
                break
        else:
            found.append([face])
    return found


def _same(plan: Plan, group: Group, first: PostFace, second: PostFace) -> bool:
    """Two sides of a post that look the same from outside: width, seat, rail and every mark."""
    if abs(first.frame.width - second.frame.width) > 1e-6 or abs(first.slope - second.slope) > 1e-6:
        return False
    if abs(first.skew - second.skew) > 1e-6 or len(first.marks) != len(second.marks):
        return False
    if first.name.startswith(AWAY) != second.name.startswith(AWAY):  # no rail leaves the post where a stud comes out
        return False
    if any((a.label, a.drill) != (b.label, b.drill) for a, b in zip(first.marks, second.marks, strict=True)):
        return False
    spots = [tuple((o.purpose, round(o.u, 1), round(o.across, 1)) for o in face.outlines) for face in (first, second)]
    return spots[0] == spots[1] and alike(first, second, group.datum, plan.job.alike)


def _faces(plan: Plan, group: Group) -> list[PostFace]:
    """The faces that the group's sheet draws: the first one, of a strip all those of its first post."""
    first = plan.face_by_id[group.faces[0]]
    if group.kind == "face":
        return [first]
    return [plan.face_by_id[name] for name in group.faces if plan.face_by_id[name].post == first.post]


def _jig(plan: Plan, group: Group, faces: Sequence[PostFace], name: str, wish: JigWish) -> Jig:
    face = faces[0]
    posts = f"post{'s' * (len(group.posts) > 1)} {' + '.join(group.posts)}"
    served = group.faces if group.kind == "face" else [f.id for f in faces]
    looks = list(dict.fromkeys(one.partition("/")[2] for one in served))
    title = f"{name}: {posts}, {' / '.join(looks) if len(looks) <= 3 else 'faces as on the sheet'}"
    bad = wrong(plan.job, wish)
    empty = Jig(name, title, face.id, group.posts, (), (), bad, (), wish, name=plan.job.name)
    if bad:
        return empty
    at = site(plan, group, face, wish, tuple(f.id for f in faces))
    if not at.guides:
        return empty
    cut, problems = pieces(at)
    if problems:
        return replace(empty, problems=problems)
    at, cut, problems = _seated(at, cut)
    parts: list[Part] = []
    found = list(problems)
    for piece in cut:
        made, more = _piece(at, piece, len(cut), name, len(parts))
        parts += made
        found += more
    found += check(at, parts) + small_holes(at, parts) + _fits(at, parts)
    return Jig(
        name,
        title,
        face.id,
        group.posts,
        tuple(parts),
        cut,
        tuple(found),
        _notes(at, cut),
        wish,
        at.underside if at.stops else None,
        _seat(at),
        at.lead,
        at.layers,
        plan.job.name,
    )


def _seated(at: Site, cut: tuple[Piece, ...]) -> tuple[Site, tuple[Piece, ...], tuple[Problem, ...]]:
    """Where no stop finds room the plate's own upper edge goes up to the underside."""
    if not at.stops:
        return at, cut, ()
    problems = stop(at, plate_holes(at, cut[0]), cut[0].top).problems
    if not problems:
        return at, cut, ()
    first = replace(cut[0], top=cut[0].top + BELOW)
    return replace(at, ribs=False), (first, *cut[1:]), problems


def _piece(at: Site, piece: Piece, count: int, jig: str, before: int) -> tuple[list[Part], list[Problem]]:
    """All parts of one piece, numbered on from ``before``."""
    face, around = plate(at, piece)
    face, over, problems = layers(at, piece, face, around.inner)
    front = over[-1] if over else face
    limit = max(p.x for p in front.outline) - 1.5 if over else _label_room(at, around.inner)
    numbered = [
        replace(p, id=f"{jig}/{before + i}", piece=piece.number) for i, p in enumerate((face, *around.parts, *over), 1)
    ]
    words = [plate_words(at, piece, count, numbered[0], f"{before + 1} {jig}")]
    words += [small_words(at, p, piece, count, jig) for p in numbered[1:]]
    words = [hole_words(p, guides_of(at, piece), limit) if _fronts(p, over) else p for p in words]
    return words, [*around.problems, *problems]


def _fronts(part: Part, over: Sequence[Part]) -> bool:
    return part.name == (over[-1].name if over else "face plate")


def _label_room(at: Site, inner: float) -> float:
    """|u| up to which lettering at the holes of a plate may reach: margins carry other words."""
    if at.bar or at.radius:
        return plate_half(at) - MARGIN - 1.5
    return min(inner, wall(at)) - 1.5


def _fits(at: Site, parts: Sequence[Part]) -> list[Problem]:
    """Parts that do not go on the panel either way round."""
    long, short = room(at.wish)
    found = []
    for part in parts:
        if not _goes_on(part, at.wish):
            left, bottom, right, top = part.box()
            sides = sorted((right - left, top - bottom))
            job = at.plan.job
            words = (
                f"{part.name} is {length(job, sides[1])} by {length(job, sides[0])}, "
                f"the panel takes {length(job, long)} by {length(job, short)}"
            )
            found.append(Problem("stop", part.id, words, "use a larger bed or stock"))
        tabs = _smallest(part)
        if tabs < TAB - 1e-6:
            words = f"a tab or slot of {part.name} is {tabs:.1f} mm long, wanted {TAB:g}"
            found.append(Problem("check", part.id, words, "glue and pin this joint, or use a longer bed"))
    return found


def _smallest(part: Part) -> float:
    """The long side of the part's shortest slot, endless without one."""
    sizes = []
    for slot in part.slots:
        xs, ys = [p.x for p in slot], [p.y for p in slot]
        sizes.append(max(max(xs) - min(xs), max(ys) - min(ys)))
    return min(sizes, default=float("inf"))


def _seat(at: Site) -> str:
    if at.bar:
        return "Lay the bar in the channel, its upper end against the end stop."
    if at.stops:
        what = "stop" if at.ribs else "plate's upper edge"
        way = f"Press the {what} up against the underside of the rail"
        centre = (
            "turn it until the scored line stands in the middle of the rail" if at.radius else "the cheeks centre it"
        )
        return f"{way}; {centre}."
    if at.on_deck:
        return "Stand the plate's lower edge on the walking surface."
    if at.group.datum == "height line":
        return "Hold the plate's upper edge on the pencilled height line."
    if abs(at.face.slope) > 1e-6:  # a line squared round from another face is wrong on this one
        high = length(at.plan.job, seat_height(at.face, at.group.datum, 0.0) - at.face.tread[0])
        return f"Hold the plate's upper edge on a line {high} over the walking surface at this face, as high as the underside."
    return "Hold the plate's upper edge on a line squared round from the underside of the rail."


def _order(at: Site) -> str:
    """How the parts go together."""
    first = "Push the saddle ribs" if at.radius else "Push the cheeks"
    words = f"{first} into the plate from behind, square, and glue"
    if at.bar:
        return (
            f"{words}; the base goes on the tabs at the back, the end stop between both. Engraved sides face outward."
        )
    if at.layers > 1 and any(g.raked for g in at.guides):
        words += "; then the layers on the plate's front, layer 1 first, cut corners together"
    if at.stops and at.ribs:
        words += "; then the stop's ribs from the front"
    return f"{words}. Engraved sides face outward, UP is up."


def _notes(at: Site, cut: Sequence[Piece]) -> tuple[str, ...]:
    """What the assembly page says, a sentence a line."""
    job, wish = at.plan.job, at.wish
    words = [
        _seat(at),
        _order(at),
        f"Board {length(job, wish.thickness)}, kerf {fine(job, wish.kerf)}. Cheeks and saddles stand {fine(job, HUG, 1)} off the "
        f"post on each side, slots are {fine(job, FIT, 1)} over the board.",
    ]
    if any(g.raked for g in at.guides):
        words.append(play_words(at))
        words.append(
            f"Dowels of {_dowel(job)} line the layers up: push them through, glue, clamp, let it dry on a flat table."
        )
    else:
        words.append(
            f"The plate alone lets a drill lean by up to {degrees(atan(tilt_of_plate(at))):.1f} degrees: keep the drill "
            "square with a drill guide, or drill from both faces to meet."
        )
    if wish.bushing:
        words.append(
            f"Bushings {fine(job, wish.bushing)} outside go into holes of the same size, a press fit; bored to the drill named."
        )
        if any(g.raked for g in at.guides):
            words.append("Slanting bores have no bushings: a bushing would stand square to the board.")
    else:
        words.append(
            f"Guide holes are the drill and {fine(job, RUN, 1)}. Board wears: after some twenty posts check a hole with the drill (common practice)."
        )
    if wish.kerf > 0.5:
        words.append(
            f"A cutter leaves inner corners round, {fine(job, wish.kerf / 2.0, 1)}: square them with a file before tabs go in."
        )
    if len(cut) > 1:
        words.append(join_words(job, len(cut)))
    if at.stops:
        words.append(
            "L and R are the stop's left and right, seen from outside. Glue tabs flush; nothing may stand out of the plate's back."
        )
    return tuple(words)


def _dowel(job: Job) -> str:
    """A dowel as it is asked for over the counter."""
    return "6 mm" if job.units == "mm" else "1/4 in"


def comb_jig(plan: Plan) -> Jig | None:
    """The test comb as a jig of loose parts, None without a [jig] table."""
    wish = plan.job.jig
    return None if wish is None else _loose(plan, wish, "comb", "test comb", gauges.comb(wish, plan.fingerprint), COMB)


def discs_jig(plan: Plan) -> Jig | None:
    """Discs of the rule set's spheres as loose parts, None without a [jig] table."""
    wish = plan.job.jig
    if wish is None:
        return None
    return _loose(
        plan,
        wish,
        "discs",
        f"spheres of {plan.job.rules.title}",
        gauges.discs(plan.job.rules, wish, plan.job.units),
        DISCS,
    )


def _loose(plan: Plan, wish: JigWish, name: str, title: str, parts: tuple[Part, ...], notes: tuple[str, ...]) -> Jig:
    bad = wrong(plan.job, wish)
    if bad:
        return Jig(name, title, "", (), (), (), bad, (), wish, name=plan.job.name)
    large = [part for part in parts if not _goes_on(part, wish)]
    told = tuple(
        Problem(
            "check", part.id, f"the {part.name} does not go on the panel, it is left out", "use a larger bed or stock"
        )
        for part in large
    )
    kept = tuple(part for part in parts if part not in large)
    return Jig(name, title, "", (), kept, (), told, notes, wish, name=plan.job.name)


def _goes_on(part: Part, wish: JigWish) -> bool:
    """Whether a part goes on the panel one way or the other."""
    left, bottom, right, top = part.box()
    short, long = sorted((right - left, top - bottom))
    return short <= room(wish)[1] and long <= room(wish)[0]
