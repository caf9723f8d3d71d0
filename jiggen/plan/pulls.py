"""How the runs of a plan are fed and pulled turned into words: for the terminal, the tension page and plan.json."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import fsum
from textwrap import wrap

from jiggen.geometry import Vector
from jiggen.job.model import Job
from jiggen.mechanics.heat import BEND_FRICTION, round_bend
from jiggen.plan.led import side_pull, turn_between, turned_posts
from jiggen.plan.model import Plan, RunLine
from jiggen.plan.shop import Pulling
from jiggen.plan.words import cut_label, force, length, long_length
from jiggen.told import listed
from jiggen.units import feet, mm_text, tape

WIDTH = 80
LEAST_TURN = 0.02  # radians, about 1 degree: less is no bend
DAYS = 4  # temperatures of the hang test, the coldest and the hottest among them

STRENGTH = (
    "Post, anchorage, rail and footing strength are a licensed designer's. What the cables pull is told here, "
    "not whether anything holds it."
)
MEASURED_ROUND = (
    "Where a cable is led round a post it is measured to the post's middle; across a hollow one it goes straighter."
)
# Common practice, no source.
RAIL_FIRST = "Fix the top rail at both ends and between the posts first, the bottom rail too: cables bend posts that nothing holds."
RECHECKS = ("after a day", "after a month", "each spring")


@dataclass(frozen=True, slots=True)
class Pass:
    """One time through all cables of a run: ``share`` of the full pull and what is done."""

    number: int
    share: float
    what: str


# Common practice, no source.
PASSES = (
    Pass(1, 0.5, "every cable to half of its pull"),
    Pass(2, 1.0, "every cable to its full pull"),
    Pass(3, 1.0, "check each one again by the hang test, as the posts have given a little meanwhile"),
)


def passes_words() -> str:
    """The passes as sentences: "Pass 1: every cable to half of its pull. Pass 2: ..."."""
    return " ".join(f"Pass {one.number}: {one.what}." for one in PASSES)


def turn_words(pulling: Pulling) -> str:
    """Where the cables of a run are turned: at one post, or at both ends by as much."""
    if not pulling.adjustable:
        return "no end fitting of this run has a thread to turn"
    if len(pulling.adjustable) > 1:
        return f"turn at posts {' and '.join(pulling.adjustable)}, both ends equally"
    return f"turn at post {pulling.adjustable[0]} alone: post {pulling.fixed[0]} has no thread"


def ends_words(plan: Plan, pulling: Pulling, named: bool = True) -> str:
    """What the cables of a run pull on each of its end posts in all, and on one that they are led round, at their tightest.

    ``named``: the end posts by name.
    """
    line = line_of(plan, pulling.run)
    first, last = line.led.posts if line.led else (line.posts[0], line.posts[-1])
    count, tight = len(line.drops), plan.loads[line.id].strung.tightest
    ends = f"each of posts {first} and {last}" if named else "each end post"
    told = f"{force(plan.job, count * tight)} in all on {ends} at the tightest"
    for bend in line.led.bends if line.led else ():
        told += f", {force(plan.job, count * side_pull(tight, bend.angle))} on post {bend.post} towards the inside of its turn"
    return told


def line_of(plan: Plan, run: str) -> RunLine:
    """The run of that name."""
    return next(line for line in plan.runs if line.id == run)


def is_head(plan: Plan, pulling: Pulling) -> bool:
    """Whether the cables bear this run's name; else they are told at the run that they are led on from."""
    return line_of(plan, pulling.run).head == pulling.run


def cables_words(line: RunLine) -> str:
    """Whose cables a run has: "cables of runs A and B, led round post 3", "" where they end at its own end posts."""
    if line.led is None:
        return ""
    posts = listed([bend.post for bend in line.led.bends])
    many = "s" * (len(line.led.bends) > 1)
    return f"each cable goes through runs {listed(line.led.runs)}, led round post{many} {posts}"


def share_words(plan: Plan, line: RunLine) -> str:
    """What is left of the pull in a run that cables are led on into, or that it has the full pull."""
    if line.led is None:
        return ""
    held = plan.loads[line.id].strung
    if not line.led.behind:
        return f"run {line.id} has the full pull, {force(plan.job, held.tension)}"
    many = "s" * (len(line.led.behind) > 1)
    left = f"{mm_text(100.0 * held.share, 0)} % of the pull is left"
    return f"run {line.id}, behind post{many} {listed(line.led.behind)}: {left}, {force(plan.job, held.tension)}"


def left_words(plan: Plan, pulling: Pulling) -> str:
    """What is left of the thread when all is taut: "24.3 mm left when all is taut", or how much is missing."""
    left = pulling.travel_has - pulling.travel_asked
    return f"{length(plan.job, left)} left when all is taut" if left >= 0.0 else f"{length(plan.job, -left)} short"


def bends(plan: Plan) -> Iterator[tuple[str, float, float]]:
    """Each post that cables are led round: its name, the turn in space, radians, and the share of a pull that is left
    behind it."""
    for bend, _ in turned_posts(plan.runs):
        yield bend.post, bend.angle, round_bend(1.0, bend.angle, BEND_FRICTION)


def _corners(plan: Plan) -> Iterator[str]:
    """Each post that two runs share and turn at, the cables of both ending there."""
    led = {bend.post for bend, _ in turned_posts(plan.runs)}
    for post in (post for post in plan.posts if post.id not in led):
        away = [_away(line, post.id) for line in plan.runs if post.id in (line.posts[0], line.posts[-1])]
        if len(away) == 2 and turn_between(away[0].times(-1.0), away[1]) > LEAST_TURN:
            yield post.id


def _away(line: RunLine, post: str) -> Vector:
    """The direction in which a run leaves one of its end posts."""
    return line.direction if line.posts[0] == post else line.direction.times(-1.0)


def bend_words(plan: Plan) -> list[str]:
    """One sentence on such posts: each run is pulled by itself there; none where there are none."""
    told = list(_corners(plan))
    if not told:
        return []
    return [f"Two runs end at post{'s' * (len(told) > 1)} {', '.join(told)}: each is pulled by itself."]


def pulling_lines(plan: Plan) -> Iterator[str]:
    """How each run is fed and pulled, with its log, for a terminal."""
    job = plan.job
    yield "PULLING"
    for words in (RAIL_FIRST, passes_words(), f"Check again {', '.join(RECHECKS)}.", *bend_words(plan)):
        yield from set_in(words, 2)
    order = dict(plan.takeoff.tension_order)
    for pulling in plan.takeoff.pulling:
        line = line_of(plan, pulling.run)
        if not is_head(plan, pulling):
            yield from set_in(f"{pulling.run}: cables of run {line.head}; {share_words(plan, line)}", 2)
            yield from _days(job, pulling)
            continue
        yield from set_in(f"{pulling.run}: {ends_words(plan, pulling)}", 2)
        for words in (cables_words(line), share_words(plan, line)) if line.led else ():
            yield from set_in(words, 5)
        full = job.cable.tension
        yield from set_in(f"spool at post {pulling.spool}, feed toward post {pulling.feed}; {turn_words(pulling)}", 5)
        yield from set_in(f"half {force(job, full / 2.0)}, full {force(job, full)}", 5)
        if pulling.quarter_turn:
            yield f"     a quarter turn adds about {force(job, pulling.quarter_turn)}; the hang test decides"
        asked, has = (length(job, size) for size in (pulling.travel_asked, pulling.travel_has))
        about = f", about {mm_text(pulling.turns)} turns at each end that turns" if pulling.turns else ""
        yield from set_in(
            f"thread: {asked} asked for from hand-fast, {has} there{about}; {left_words(plan, pulling)}", 5
        )
        yield from _days(job, pulling)
        if len(pulling.columns) < DAYS:
            yield "     on the other days from the coldest to the hottest it hangs slack: no hang test"
        yield from _log(pulling, order.get(pulling.run, ()))
    yield ""


def _log(pulling: Pulling, order: tuple[int, ...]) -> Iterator[str]:
    """A line for each cable in its order, to fill in."""
    names = [cut_label(pulling.run, cable) for cable in order]
    wide = max((len(name) for name in names), default=0)
    yield f"  log{'':>{wide}}  pass 1 half  pass 2 full  pass 3 sag    at  thread left   by, date"
    for name in names:
        yield f"     {name:<{wide}}  ___________  ___________  __________  ____  ___________  _________"


def spool_lines(plan: Plan) -> Iterator[str]:
    """The spools to buy and how to cut them, for a terminal."""
    bought = plan.takeoff.buying
    yield "SPOOLS"
    if bought is None:
        yield "  no spool of the job's list is long enough for its longest cable"
        yield ""
        return
    for spool in bought.spools:
        size = feet(spool.length, plan.job.round_to) if plan.job.units == "in" else f"{mm_text(spool.length, 0)} mm"
        yield from wrap(
            f"{size}: {' '.join(spool.cuts)}; {long_length(plan.job, spool.left)} left",
            WIDTH - 2,
            initial_indent="  ",
            subsequent_indent="    ",
        )
    yield from set_in(bound_words(plan), 2)
    yield ""


def bound_words(plan: Plan) -> str:
    """How far what is bought is from the shortest set of spools that holds the total."""
    bought = plan.takeoff.buying
    if bought is None:
        return ""
    if bought.met:
        return "the shortest set of spools for that total"
    more = fsum(spool.length for spool in bought.spools) - bought.bound
    return f"{long_length(plan.job, more)} more than the shortest set for that total"


def _days(job: Job, pulling: Pulling) -> Iterator[str]:
    """The pull, its sag and the band that is good, a line for each of some days from the coldest to the hottest."""
    if job.units == "mm":
        yield f"  {'on a day of':>13}{'pull':>9}{'sag mm':>9}{'good from':>12}{'to mm':>8}"
        for day, pull, *sags in pulling.columns:
            sag, low, high = map(mm_text, sags)
            yield f"  {_day(job, day):>13}{force(job, pull):>9}{sag:>9}{low:>12}{high:>8}"
        return
    yield f"  {'on a day of':>13}{'pull':>9}{'sag':>10}{'mm':>6}{'good from':>12}{'mm':>6}{'to':>10}{'mm':>6}"
    for day, pull, *sags in pulling.columns:
        sag, low, high = (tape(mm, job.round_to, job.units).signed for mm in sags)
        one, two, three = map(mm_text, sags)
        yield f"  {_day(job, day):>13}{force(job, pull):>9}{sag:>10}{one:>6}{low:>12}{two:>6}{high:>10}{three:>6}"


def _day(job: Job, kelvin: float) -> str:
    degrees_c = kelvin - 273.15
    return f"{mm_text(degrees_c * 1.8 + 32.0, 0)} degF" if job.units == "in" else f"{mm_text(degrees_c, 0)} degC"


def set_in(words: str, indent: int) -> list[str]:
    """The words in lines of a terminal's width, the further ones set in more."""
    return wrap(words, WIDTH, initial_indent=" " * indent, subsequent_indent=" " * (indent + 2))
