"""A run turned into its rails: lengths along the underside and how both ends are cut."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from math import asin, atan, cos, degrees, pi, sin, tan
from typing import Literal

from jiggen.geometry import angle_between
from jiggen.job.model import Job
from jiggen.plan.model import Post, PostFace, RunLine
from jiggen.plan.shop import RailCut, RailEnd
from jiggen.plan.words import length
from jiggen.units import mm_text

SQUARE = 1e-3  # radians; a cut nearer to square is square


def rail_cuts(line: RunLine, lines: Sequence[RunLine], posts: Mapping[str, Post]) -> Iterator[RailCut]:
    """The top rail and the bottom rail of ``line``, span by span, or the one rail that lies over its posts.

    Both ends of a raked rail are cut by the rake off square, with what a post was measured to lean along the run. Against a
    face that stands askew the end is mitred by the skew; over the posts two rails that meet at a corner are mitred by half
    of its turn.
    """
    if line.guard.rail.sits == "over":
        yield _over(line, lines, posts)
    else:
        yield from _between(line, posts, "top", line.height - line.rail_drop)
    if line.guard.bottom_rail:
        yield from _between(line, posts, "bottom", line.gap)


def _between(line: RunLine, posts: Mapping[str, Post], place: str, high: float) -> Iterator[RailCut]:
    """What lies between the posts, its underside ``high`` over the reference line, its place said by them."""
    half = {post: posts[post].prism.half_extent(line.level) for post in line.posts}
    aside = {post: _aside(line, posts[post], x, high) for post, x in zip(line.posts, line.stations, strict=True)}
    back = line.level.times(-1.0)
    for (a, x), (b, y) in pairwise(zip(line.posts, line.stations, strict=True)):
        long = (y + aside[b] - x - aside[a] - half[a] - posts[b].prism.half_extent(back)) / line.cosine
        ends = _against(line, posts[a], b, 1.0), _against(line, posts[b], a, -1.0)
        yield RailCut(line.id, f"{place}, {a} to {b}", long, *ends)


def _lean(line: RunLine, post: Post) -> float:
    """How far the post leans forward along the run for each mm of its height; 0 of one that was not measured."""
    return post.prism.axis.dot(line.level) / post.prism.axis.z


def _aside(line: RunLine, post: Post, x: float, high: float) -> float:
    """How far along the run the post's axis stands from ``x`` at a height over the reference line, mm."""
    return _lean(line, post) * (line.reference(x) + high - post.prism.base.z)


def _against(line: RunLine, post: Post, neighbour: str, way: float) -> RailEnd:
    """The end of a rail at the post's face toward ``neighbour``; ``way``: 1 where the run leaves it, -1 where it arrives."""
    face: PostFace | None = next((f for f in post.faces if f.run == line.id and f.name == f"toward {neighbour}"), None)
    if face is None or not face.frame.radius:
        # the rail leaves to the right of the normal, so its right side starts nearer to the post and is the longer one
        skew = face.skew if face else 0.0
        end = _mitred(line, post.id, abs(skew), right=skew * way > 0.0)
    else:
        end = RailEnd(post.id, abs(line.rake), round=2.0 * face.frame.radius)
    return _leaning(line, post, end, way)


def _leaning(line: RunLine, post: Post, end: RailEnd, way: float) -> RailEnd:
    """The end at a post that leans forward: turned on by that, its underside the longer edge where the run leaves."""
    lean = _lean(line, post)
    if abs(lean) < SQUARE:
        return end
    off = line.rake + atan(lean)
    longer: Literal["below", "above"] = "below" if off * way > 0.0 else "above"
    return replace(end, plumb=abs(off), leaning=longer)


def _mitred(line: RunLine, post: str, mitre: float, right: bool) -> RailEnd:
    """``right``: the longer side, walking from the run's first post to its last."""
    if mitre < SQUARE:
        return RailEnd(post, abs(line.rake))
    return RailEnd(post, abs(line.rake), mitre, "open" if (line.guard.deck == "left") == right else "deck")


def _over(line: RunLine, lines: Sequence[RunLine], posts: Mapping[str, Post]) -> RailCut:
    """The one rail over all posts: to the outer faces, or to the middle of a post where it meets another one."""
    whole, ends = line.stations[-1], []
    high = line.height - line.rail_drop
    for post, x, way in ((line.posts[0], 0.0, -1.0), (line.posts[-1], line.stations[-1], 1.0)):
        whole += way * _aside(line, posts[post], x, high)
        other = next((o for o in lines if o is not line and post in (o.posts[0], o.posts[-1])), None)
        if other is None or other.guard.rail.sits != "over":
            whole += posts[post].prism.half_extent(line.level.times(way))
            ends.append(RailEnd(post, abs(line.rake)))
            continue
        away = other.heading if other.posts[0] == post else other.heading + pi
        turn = angle_between(line.heading, away) if way > 0.0 else angle_between(away + pi, line.heading)
        ends.append(_mitred(line, post, abs(turn) / 2.0, right=turn > 0.0))
    return RailCut(line.id, "top, over all posts", whole / line.cosine, ends[0], ends[1])


def end_words(job: Job, end: RailEnd) -> str:
    """How one end is cut: "square", "plumb 32.5 deg", "mitre 22.5 deg, longer on the open side"."""
    plumb = end.plumb if end.plumb >= SQUARE else 0.0
    parts = [f"{'off square' if end.leaning else 'plumb'} {_degrees(plumb)}"] if plumb else []
    if plumb and end.leaning:
        parts[0] += f", longer {end.leaning} (the post leans)"
    if end.round:
        parts.append(f"coped to a round of {length(job, end.round)}")
    if end.mitre:
        parts.append(f"mitre {_degrees(end.mitre)}, longer on the {end.longer} side")
    words = ", ".join(parts) or "square"
    if plumb and end.mitre:
        mitre, bevel = saw(end)
        words += f" (on the saw, underside down: mitre {_degrees(mitre)}, bevel {_degrees(bevel)})"
    return words


def saw(end: RailEnd) -> tuple[float, float]:
    """Mitre and bevel, radians, of a saw whose table the rail's underside lies on.

    The cut's plane is plumb and turned by the mitre m in plan; in a rail at rake t its normal has cos m cos t along, sin m
    across and cos m sin t square to the underside.
    """
    return atan(tan(end.mitre) / cos(end.plumb)), asin(cos(end.mitre) * sin(end.plumb))


def _degrees(angle: float) -> str:
    return f"{mm_text(degrees(angle))} deg"
