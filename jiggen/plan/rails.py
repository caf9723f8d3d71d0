"""A run turned into its rails: lengths along the underside and how both ends are cut."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from math import asin, atan, cos, degrees, pi, sin, tan

from jiggen.geometry import angle_between
from jiggen.job.model import Job
from jiggen.plan.model import Post, PostFace, RailCut, RailEnd, RunLine
from jiggen.plan.words import length
from jiggen.units import mm_text

SQUARE = 1e-3  # radians; a cut nearer to square is square


def rail_cuts(line: RunLine, lines: Sequence[RunLine], posts: Mapping[str, Post]) -> Iterator[RailCut]:
    """The top rail and the bottom rail of ``line``, span by span, or the one rail that lies over its posts.

    Posts stand plumb, so both ends of a raked rail are cut by the rake off square. Against a face that stands askew
    the end is mitred by the skew; over the posts two rails that meet at a corner are mitred by half of its turn.
    """
    spans = tuple(_between(line, posts))
    if line.guard.rail.sits == "over":
        yield _over(line, lines, posts)
    else:
        yield from (replace(span, place=f"top, {span.place}") for span in spans)
    if line.guard.bottom_rail:
        yield from (replace(span, place=f"bottom, {span.place}") for span in spans)


def _between(line: RunLine, posts: Mapping[str, Post]) -> Iterator[RailCut]:
    """What lies between the posts, its place said by them."""
    half = {post: posts[post].prism.half_extent(line.level) for post in line.posts}
    back = line.level.times(-1.0)
    for (a, x), (b, y) in pairwise(zip(line.posts, line.stations, strict=True)):
        long = (y - x - half[a] - posts[b].prism.half_extent(back)) / line.cosine
        ends = _against(line, posts[a], b, 1.0), _against(line, posts[b], a, -1.0)
        yield RailCut(line.id, f"{a} to {b}", long, *ends)


def _against(line: RunLine, post: Post, neighbour: str, way: float) -> RailEnd:
    """The end of a rail at the post's face toward ``neighbour``; ``way``: 1 where the run leaves it, -1 where it arrives."""
    face: PostFace | None = next((f for f in post.faces if f.run == line.id and f.name == f"toward {neighbour}"), None)
    if face is None:
        return RailEnd(post.id, abs(line.rake))
    if face.frame.radius:
        return RailEnd(post.id, abs(line.rake), round=2.0 * face.frame.radius)
    # the rail leaves to the right of the normal, so its right side starts nearer to the post and is the longer one
    return _mitred(line, post.id, abs(face.skew), right=face.skew * way > 0.0)


def _mitred(line: RunLine, post: str, mitre: float, right: bool) -> RailEnd:
    """``right``: the longer side, walking from the run's first post to its last."""
    if mitre < SQUARE:
        return RailEnd(post, abs(line.rake))
    return RailEnd(post, abs(line.rake), mitre, "open" if (line.guard.deck == "left") == right else "deck")


def _over(line: RunLine, lines: Sequence[RunLine], posts: Mapping[str, Post]) -> RailCut:
    """The one rail over all posts: to the outer faces, or to the middle of a post where it meets another one."""
    whole, ends = line.stations[-1], []
    for post, way in ((line.posts[0], -1.0), (line.posts[-1], 1.0)):
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
    parts = [f"plumb {_degrees(plumb)}"] if plumb else []
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
