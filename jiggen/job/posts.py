"""[post.NAME] and [posts] turned into kinds of post and which of them stands where."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from difflib import get_close_matches
from typing import Literal, cast

from jiggen.handbook import woods
from jiggen.handbook.posts import NominalPost, nominal, nominal_names
from jiggen.job import ranges
from jiggen.job.model import PostKind, Stands, Wire
from jiggen.job.tables import Table
from jiggen.job.wording import joined, listed, nearest_few, quoted, shown, size
from jiggen.shapes.known import SHAPES, Section, section, size_names
from jiggen.shapes.outline import Circle

BORES = ("along", "square")
SLOTS = ("round", "file")
ENDS = ("top", "bottom")
USUAL_MATERIAL = "softwood"
NEARLY = 0.8  # share of a material's letters that agree with a known one's: a slip of the pen
FACE = re.compile(r"deck side|open side|toward \S.*")
ROLES = ("line", "end", "corner", "transition")


def read_kinds(job: Table, own: Mapping[str, woods.Material]) -> dict[str, PostKind]:
    """Each [post.NAME] by name, in the file's order; ``own``: woods of the file's own."""
    kinds = {name: _kind(name, table, own) for name, table in job.named("post").items()}
    if not kinds and "post" not in job.data:
        job.need("post", 'write a table such as [post.timber] with width = "3 1/2 in"')
    elif not kinds and job.data["post"] == {}:
        job.problem("post", "found no kind of post", 'write a table such as [post.timber] with width = "3 1/2 in"')
    return kinds


def _kind(name: str, post: Table, own: Mapping[str, woods.Material]) -> PostKind:
    trade = _trade_size(post)
    shape = post.choice("shape", tuple(SHAPES), trade.shape if trade else "square")
    wall = post.maybe("wall", ranges.WALL)
    value = PostKind(
        name=name,
        section=_section(post, shape, trade),
        material=_material(post, own),
        wall=trade.wall if trade and wall is None else wall,
        core=post.maybe("core", ranges.POST_SIZE),
        rotate=_rotate(post),
        bore=_bore(post),
        slot=cast(Literal["round", "file"], post.choice("slot", SLOTS, "round")),
        grommet=post.maybe("grommet", ranges.GROMMET),
        radius=post.maybe("radius", ranges.RADIUS) or 0.0,
        fixed=_fixed(post),
        wires=read_wires(post),
    )
    _check_kind(post, value)
    post.done()
    return value


def _trade_size(post: Table) -> NominalPost | None:
    """The post behind ``size``, None where there is no such key."""
    written = post.raw("size")
    return None if written is None else post.parsed("size", written, _nominal)


def _nominal(text: str) -> NominalPost:
    found = nominal(text)
    if found is None:
        near = nearest_few(text, nominal_names())
        known = near or 'such as "4x4", "2x2x1/8 tube" or "1-1/2 pipe"'
        raise ValueError(f"write {known} (README lists all), or leave size out and write width, along and across")
    return found


def _section(post: Table, shape: str, trade: NominalPost | None) -> Section:
    """The post cut across, of the sizes that its shape asks for."""
    wanted = SHAPES[shape].keys
    for key in size_names():
        if post.raw(key) is None:
            continue
        if post.has("size"):
            post.problem(key, "found it beside size", "write one of the two")
        elif key not in wanted:
            fits = next(name for name, other in SHAPES.items() if key in other.keys)
            post.problem(
                key,
                f"found it on a {shape} post",
                f'write shape = "{fits}", or {" and ".join(wanted)} instead',
            )
    if post.has("size"):
        return _as_traded(post, shape, trade)
    return section(shape, *(post.amount(key, ranges.POST_SIZE) for key in wanted))


def _as_traded(post: Table, shape: str, trade: NominalPost | None) -> Section:
    if trade is None:
        return section("square", ranges.POST_SIZE.fallback(post.unit))
    if trade.shape != shape:
        found = f"found {shown(post.raw('size'))}, which is {trade.shape}"
        post.problem("size", found, f'write shape = "{trade.shape}", or leave the shape out')
    return section(trade.shape, *(trade.along, trade.across)[: len(SHAPES[trade.shape].keys)])


def _bore(post: Table) -> Literal["along", "square"] | None:
    if post.raw("bore") is None:
        return None
    return cast(Literal["along", "square"], post.choice("bore", BORES))


def _material(post: Table, own: Mapping[str, woods.Material]) -> woods.Material:
    """What it is made of. A name that is nearly a known one is a mistake; one like none counts as a softwood."""
    name = post.text("material") or USUAL_MATERIAL
    found = own.get(name.casefold()) or woods.material(name)
    if not found.known:
        known = [*own, *woods.every_name()]
        close = get_close_matches(" ".join(name.casefold().split()), known, 1, NEARLY)
        if close:
            remedy = f"write {quoted(close[0])}, or the specific gravity of yours in [{joined('wood', name)}]"
            post.problem("material", f"found {quoted(name)}", remedy)
    return found


def _rotate(post: Table) -> float | Literal["bisect"] | None:
    if post.raw("rotate") == "bisect":
        return "bisect"
    return post.maybe("rotate", ranges.ROTATE)


def _fixed(post: Table) -> tuple[str, ...]:
    if post.raw("fixed") is None:
        return ()
    ends = post.texts("fixed", 0, 2, 'of "top" and "bottom"')
    for index, end in enumerate(ends):
        post.one_of(f"fixed[{index}]", end, ENDS)
    return tuple(end for end in ENDS if end in ends)


def _check_kind(post: Table, kind: PostKind) -> None:
    """What one post's own sizes show to be impossible."""
    if not post.fine("shape", "size", *size_names()):
        return
    least = min(kind.along, kind.across)
    inside = least - 2 * (kind.wall or 0.0)
    if not post.fine("wall", "core"):
        pass
    elif kind.wall is not None and inside <= 0:
        post.problem("wall", f"found {shown(post.raw('wall'))}, half the post or more", "write the wall's thickness")
    elif kind.core is not None and kind.wall is None:
        post.problem("core", "found a core without a wall", "write the sleeve's wall too")
    elif kind.core is not None and kind.core > inside + 1e-6:
        found = f"found {shown(post.raw('core'))} in a sleeve that is {size(inside, post.unit)} wide inside"
        post.problem("core", found, "write a core that goes into the sleeve")
    rolled = isinstance(kind.section.outline, Circle)
    if post.fine("radius") and (kind.radius > least / 2 or (kind.radius and rolled)):
        remedy = "leave it out" if rolled else "write one under half the post's width"
        post.problem("radius", f"found {shown(post.raw('radius'))}", remedy)
    if post.fine("grommet") and kind.grommet is not None and kind.grommet > least / 2:
        post.problem("grommet", f"found {shown(post.raw('grommet'))}", "write one under half the post's width")


def read_wires(owner: Table) -> tuple[Wire, ...]:
    """The wire holes of a post kind or a run: ``wire`` is a table or a list of tables."""
    return tuple(_wire(table) for table in owner.tables("wire", 20))


def _wire(table: Table) -> Wire:
    face = table.text("face", "toward 2", 40) or "deck side"
    if not FACE.fullmatch(face):
        table.problem("face", f"found {quoted(face)}", 'write "deck side", "open side" or "toward " and a post')
    value = Wire(
        drop=table.amount("drop", ranges.WIRE_DROP),
        face=face,
        diameter=table.amount("diameter", ranges.WIRE_DIAMETER),
    )
    table.done()
    return value


def read_stands(posts: Table, kinds: Collection[str], spacers: Collection[str]) -> Stands:
    """[posts]. With one kind (``spacers`` left out) that one stands everywhere.

    A transition post is else of the corner's kind, a corner of the end's, an end of the line's.
    """
    bearing = [kind for kind in kinds if kind not in spacers] or list(kinds)
    found: dict[str, str] = {}
    usual = bearing[0] if len(bearing) == 1 else None
    for role in ROLES:
        said = posts.raw(role) is not None
        if said and kinds:
            found[role] = posts.choice(role, kinds)
        elif not said and role == "line" and usual is None and kinds:
            posts.need(role, f"write {listed(bearing)}")
        usual = found.get(role, usual)
        found.setdefault(role, usual or "")
    stands = Stands(found["line"], found["end"], found["corner"], found["transition"], _only(posts, kinds))
    posts.done()
    return stands


def _only(posts: Table, kinds: Collection[str]) -> dict[str, str]:
    table = posts.table("only")
    if table is None:
        return {}
    return {post: table.choice(post, kinds) for post in table.data} if kinds else {}
