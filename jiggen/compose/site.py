"""A Plan turned into the pages that are filled in on site: tension with its log, inspection, care card."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import cos, hypot

from jiggen.compose.lettering import both, reading
from jiggen.compose.said import force, temperature, weight
from jiggen.compose.tables import Block, Column, Table, Words, flow
from jiggen.drawing.scene import Drawing
from jiggen.job.model import Job, Stair
from jiggen.plan.loads import Load, bent, spheres
from jiggen.plan.model import Plan, RunLine
from jiggen.plan.pulls import (
    RAIL_FIRST,
    STRENGTH,
    bend_words,
    cables_words,
    ends_words,
    is_head,
    left_words,
    line_of,
    passes_words,
    share_words,
    turn_words,
)
from jiggen.plan.shop import Pulling
from jiggen.plan.spacing import worst_circle
from jiggen.plan.words import cut_label, nominal
from jiggen.problems import Problem
from jiggen.told import MOST, listed, told
from jiggen.units import mm_text

Size = tuple[float, float]
TO_WRITE = 6.5  # height of a row to write in, mm
ROWS: tuple[tuple[str, ...], ...] = (("after a day",), ("after a month",), *(("spring of",) for _ in range(8)))

# Common practice, no source.
STEPS = (
    RAIL_FIRST,
    "Pull in the order of the log, from the middle outwards, so that posts are loaded evenly.",
    passes_words(),
    "Where both ends turn: both by as much. Hold the cable while you turn, so that it does not twist. Turns are a guide, the "
    "hang test decides.",
)
# Common practice, no source.
CARE = (
    "Hang the weight on each cable at the middle of its longest bay and measure how far it goes down there. Outside the band "
    "for the day's temperature: pull again, from the middle outwards.",
    "Look at every end fitting: screws tight, enough thread left, no broken wire. Look at posts and rails: nothing loose, no rot.",
    "Wash with fresh water and a soft cloth, by the sea every few weeks; no steel wool, no chlorine, no hydrochloric acid.",
    "Brown stains are on the surface: clean them off with a cleaner for stainless steel and rinse. A cut or crushed cable is replaced.",
    "Nobody sits, stands or climbs on the cables, nothing heavy hangs from them.",
)


def tension(plan: Plan, problems: Sequence[Problem], size: Size) -> tuple[Drawing, ...]:
    """How to pull, the hang test by the day's temperature for each run, and a log to fill in."""
    heads = [pulling for pulling in plan.takeoff.pulling if is_head(plan, pulling)]
    blocks: list[Block] = [
        Words((" ".join([STRENGTH, *_ends(plan, heads)]), *bend_words(plan))),
        Words(STEPS, "BEFORE AND WHILE YOU PULL", ticks=True),
    ]
    order = dict(plan.takeoff.tension_order)
    for number, pulling in enumerate(plan.takeoff.pulling):
        line = line_of(plan, pulling.run)
        made = _run if line.head == line.id else _leg
        blocks.extend(made(plan, pulling, order.get(line.head, ()), number > 0))
    if not plan.takeoff.pulling:
        blocks.append(Words(("No run has cables.",)))
    return flow(blocks, size, "TENSION")


def _ends(plan: Plan, heads: Sequence[Pulling]) -> Iterator[str]:
    """What the cables pull on end posts, runs with the same pull told together."""
    alike: dict[str, list[Pulling]] = {}
    for pulling in heads:
        own = line_of(plan, pulling.run).led is not None
        alike.setdefault(ends_words(plan, pulling, named=own), []).append(pulling)
    for words, every in alike.items():
        if len(every) > 1 and line_of(plan, every[0].run).led is None:
            yield f"Runs {listed([pulling.run for pulling in every], MOST)}: {words}."
        else:
            yield from (f"{_runs(plan, pulling)}: {ends_words(plan, pulling)}." for pulling in every)


def _runs(plan: Plan, pulling: Pulling) -> str:
    """The run, or all that its cables are led on through: "Run A", "Runs A and B"."""
    led = line_of(plan, pulling.run).led
    return f"Runs {listed(led.runs)}" if led else f"Run {pulling.run}"


def _leg(plan: Plan, pulling: Pulling, order: Sequence[int], fresh: bool) -> Iterator[Block]:
    """A run whose cables are led on from another one: the hang test with the pull that is left in it, and what sagged."""
    line, found = line_of(plan, pulling.run), plan.loads.get(pulling.run)
    if pulling.columns and found:
        yield _days(plan, pulling, found, fresh)
    else:
        yield Table(
            f"RUN {pulling.run}", (Column("hang test"),), (("none: no pull is left at the slackest",),), 0.0, fresh
        )
    yield Words((f"Its cables are those of run {line.head} and are pulled with them: {share_words(plan, line)}.",))
    columns = (
        Column("order", "right"),
        Column("cable"),
        Column("pass 3: sag mm", wide=26.0),
        Column("temperature", wide=22.0),
        Column("by, date", wide=26.0),
    )
    rows = tuple((str(place), cut_label(line.head, cable), *[""] * 3) for place, cable in enumerate(order, 1))
    yield Table(f"LOG OF RUN {pulling.run}", columns, rows, TO_WRITE)


def _run(plan: Plan, pulling: Pulling, order: Sequence[int], fresh: bool) -> Iterator[Block]:
    job, found = plan.job, plan.loads.get(pulling.run)
    turn = f" A quarter turn adds about {force(job, pulling.quarter_turn)}." if pulling.quarter_turn else ""
    told_where = turn_words(pulling)
    where = f"{told_where[0].upper()}{told_where[1:]}."
    about = f" (about {mm_text(pulling.turns)} turns from hand-fast at each end that turns)" if pulling.turns else ""
    line = line_of(plan, pulling.run)
    led = [f"E{cables_words(line)[1:]}; {share_words(plan, line)}."] if line.led else []
    told = [
        *led,
        f"Full pull {force(job, job.cable.tension)}, half {force(job, job.cable.tension / 2.0)}. Spool at post {pulling.spool}, "
        f"feed toward post {pulling.feed}. {where}{turn}",
        f"Thread: {both(job, pulling.travel_asked)} asked for{about}, {both(job, pulling.travel_has)} there, "
        f"{left_words(plan, pulling)}.",
    ]
    if pulling.columns and found:
        yield _days(plan, pulling, found, fresh)
    else:
        told.append("At its slackest this run has no pull left: no hang test.")
        yield Table(f"RUN {pulling.run}", (Column("hang test"),), (("none",),), 0.0, fresh)
    yield Words((*told, f"Order: {' '.join(cut_label(pulling.run, cable) for cable in order)}."))
    yield _log(pulling, order)


def _days(plan: Plan, pulling: Pulling, found: Load, fresh: bool) -> Table:
    job = plan.job
    columns = (Column("on a day of"), *(Column(temperature(job, day[0])) for day in pulling.columns))
    rows = (
        (
            "pull left here" if found.strung.share < 1.0 else "full pull",
            *(force(job, day[1]) for day in pulling.columns),
        ),
        *(
            row
            for index, told in enumerate(("sag, to measure", "good from", "good to"), 2)
            for row in _sags(job, told, [day[index] for day in pulling.columns])
        ),
    )
    hung = weight(job, job.cable.hang_weight)
    title = f"RUN {pulling.run}: hang {hung} on the middle of the longest bay, {both(job, found.strung.bay)}"
    return Table(title, columns, rows, 0.0, fresh)


def _sags(job: Job, told: str, sags: Sequence[float]) -> Iterator[tuple[str, ...]]:
    """A row of sags in mm; in an inch job as a tape reads them first."""
    exact = [f"{mm_text(mm)} mm" for mm in sags]
    if job.units == "in":
        yield told, *(f"{reading(job, mm).signed} in" for mm in sags)
        yield "", *exact
    else:
        yield told, *exact


def _log(pulling: Pulling, order: Sequence[int]) -> Table:
    columns = (
        Column("order", "right"),
        Column("cable"),
        Column("pass 1: half", wide=22.0),
        Column("pass 2: full", wide=22.0),
        Column("pass 3: sag mm", wide=26.0),
        Column("temperature", wide=22.0),
        Column("thread left", wide=22.0),
        Column("by, date", wide=26.0),
    )
    rows = tuple((str(place), cut_label(pulling.run, cable), *[""] * 6) for place, cable in enumerate(order, 1))
    return Table(f"LOG OF RUN {pulling.run}", columns, rows, TO_WRITE)


def inspection(plan: Plan, problems: Sequence[Problem], size: Size) -> tuple[Drawing, ...]:
    """What the rules ask and what was found, at rest and loaded, with boxes for what is measured on site."""
    columns = (
        Column("clause"),
        Column("what"),
        Column("limit"),
        Column("at rest"),
        Column("loaded"),
        Column("sphere passes? yes / no", wide=18.0),
        Column("pull", wide=13.0),
        Column("temp.", wide=13.0),
        Column("date, by", wide=17.0),
    )
    blocks: list[Block] = []
    for line in plan.runs:
        rows = tuple((*row, "", "", "", "") for row in judged(plan, line))
        posts = f"posts {line.posts[0]} to {line.posts[-1]}"
        blocks.append(Table(f"RUN {line.id}, {posts}", columns, rows, 9.0))
    every = told(problem for problem in problems if problem.level != "note")
    left = tuple(f"{one.level.upper()}: {one.place}: {one.found}. {one.source}".rstrip() for one in every)
    if left:
        blocks.append(Words(left, "STILL TO DECIDE", ticks=True))
    blocks.append(
        Words(("Inspected by ______________________________   date ____________   accepted: yes / no",), high=3.0)
    )
    under = (
        f"Judged by {plan.job.rules.title}. Loaded: at the slackest pull of heat, cold and loss, with the side force on each "
        "cable; where the code publishes no side force, the force is common practice or the job's own."
    )
    return flow(blocks, size, "INSPECTION", under)


def judged(plan: Plan, line: RunLine) -> Iterator[tuple[str, str, str, str, str]]:
    """Clause, what, limit, found at rest and found loaded: height, the worst opening of each sphere, the bottom, the pull."""
    job, stair = plan.job, isinstance(line.ground, Stair)
    rule = job.rules.height_for(job.fall, stair)
    if rule:
        most = f", {both(job, rule.most)} at most" if rule.most is not None else ""
        yield (
            rule.clause,
            "height of the guard",
            f"{both(job, rule.least)} at least{most}",
            both(job, line.height),
            "the same",
        )
    found = plan.loads.get(line.id)
    worst: dict[tuple[float, str], int] = {}
    limits = spheres(job, line)
    given = [_slanted(line, index, size) for index, size in enumerate(found.worst if found else line.openings)]
    for index, limit in enumerate(limits):
        if limit not in worst or given[index] >= given[worst[limit]]:
            worst[limit] = index
    for (sphere, clause), index in worst.items():
        loaded = both(job, given[index]) if found else "not worked out"
        what = f"opening {index + 1} of {len(line.openings)} from the top, the widest under load"
        yield clause, what, f"under {both(job, sphere)}", both(job, _slanted(line, index, line.openings[index])), loaded
    yield from _bottom(plan, line)
    if found:
        force_told = (
            f"a push of {force(job, min(found.opens_worst))} on each cable opens one" if found.opens_worst else ""
        )
        told = f"{force(job, found.force)} on each cable"
        yield "job file", f"pull {force(job, found.strung.tension)}", told, "", force_told


def _slanted(line: RunLine, index: int, opening: float) -> float:
    """``opening``, the one of that index; the lowest one of a guard on the fascia slants across to the deck's edge."""
    if index == len(line.openings) - 1 and line.closes == "deck" and line.guard.mount == "side":
        return hypot(opening, line.guard.out)
    return opening


def _bottom(plan: Plan, line: RunLine) -> Iterator[tuple[str, str, str, str, str]]:
    """The gap under the lowest member, on a stair the triangle at each step."""
    if line.closes == "deck":
        return
    job, rules = plan.job, plan.job.rules
    name = "bottom rail" if line.closes == "bottom rail" else "lowest cable"
    lift = _lift(plan, line) if line.closes == "cable" else 0.0
    if isinstance(line.ground, Stair):
        rest, loaded = (worst_circle(line.ground, gap) for gap in (line.gap, line.gap + lift / line.cosine))
        sphere, clause = rules.sphere_at(0.0, True)
        sphere, clause = rules.triangle or sphere, rules.triangle_clause or clause
        yield (
            clause,
            f"triangle of tread, riser and {name}",
            f"under {both(job, sphere)}",
            both(job, rest),
            both(job, loaded),
        )
        return
    gap = line.gap * cos(line.rake)
    out = line.guard.out if line.guard.mount == "side" else 0.0
    sphere, clause = rules.sphere_at(0.0, False)
    rest, loaded = hypot(gap, out), hypot(gap + lift, out)
    yield clause, f"gap under the {name}", f"under {both(job, sphere)}", both(job, rest), both(job, loaded)


def _lift(plan: Plan, line: RunLine) -> float:
    """How far the lowest cable is lifted at its slackest, square to it, mm."""
    found = plan.loads.get(line.id)
    if found is None:
        return 0.0
    held = found.strung
    return bent(held, held.bottom, held.slackest, found.force) + held.play / 2.0


def care(plan: Plan, problems: Sequence[Problem], size: Size) -> tuple[Drawing, ...]:
    """The card that stays with the owner: when to check again, the sag that is good, how to clean."""
    job = plan.job
    columns = (
        Column("check"),
        Column("date", wide=26.0),
        Column("temperature", wide=22.0),
        Column("sag from, to mm", wide=34.0),
    )
    when = Table(
        "CHECK AGAIN after a day, after a month, and each spring",
        (*columns, Column("turned, where", wide=40.0), Column("by", wide=18.0)),
        tuple((row[0], *[""] * 5) for row in ROWS),
        TO_WRITE,
    )
    hung = weight(job, job.cable.hang_weight)
    rows = list(_good_sags(plan))
    blocks: list[Block] = [Words(CARE, high=3.0), when]
    if rows:
        days = next(pulling.columns for pulling in plan.takeoff.pulling if pulling.columns)
        heads = (Column("run"), *(Column(temperature(job, day[0])) for day in days))
        unit = "inches and mm" if job.units == "in" else "mm"
        blocks.append(Table(f"GOOD SAG in {unit} under {hung}, on a day of", heads, tuple(rows)))
    under = f"{job.name}   {plan.fingerprint}   cable {nominal(job, job.cable.diameter)}, pull {force(job, job.cable.tension)}"
    return flow(blocks, size, "CARE CARD", under)


def _good_sags(plan: Plan) -> Iterator[tuple[str, ...]]:
    """Runs and what their cables may sag on each day, runs that sag alike in one row, all of them named; in an inch job a
    row as a tape reads it, then one in mm."""
    alike: dict[tuple[tuple[str, ...], ...], list[str]] = {}
    for pulling in plan.takeoff.pulling:
        exact = tuple(f"{mm_text(day[3])} to {mm_text(day[4])}" for day in pulling.columns)
        taped = tuple(_from_to(plan.job, day[3], day[4]) for day in pulling.columns)
        if exact:
            sags = (taped, tuple(f"{words} mm" for words in exact)) if plan.job.units == "in" else (exact,)
            alike.setdefault(sags, []).append(pulling.run)
    for (first, *more), runs in alike.items():
        yield listed(runs), *first
        yield from (("", *row) for row in more)


def _from_to(job: Job, low: float, high: float) -> str:
    return f"{reading(job, low).signed} to {reading(job, high).signed} in"
