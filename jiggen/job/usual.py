"""End fittings that a job leaves open turned into the usual one for the post that they sit on: wood or metal.

The generic fittings are screwed into wood. Each with screws has a twin for metal, with machine screws of about the
same size (common practice, no source); whether their holes are tapped or cleared, the plan decides by the wall.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace

from jiggen.handbook.screws import Screw, parse_screw
from jiggen.job.model import Bracket, Fitting, PostKind, Run, Stands
from jiggen.job.ranges import Unit
from jiggen.job.roles import kind_at
from jiggen.job.wording import quoted
from jiggen.problems import Problem

FOR_METAL = " for metal"
STOUT = 6.0  # mm; a wood screw's shank over this is replaced by the larger machine screw
MACHINE: dict[Unit, tuple[str, str]] = {
    "in": ("10-24 x 3/4 in", "1/4-20 x 3/4 in"),
    "mm": ("M5 x 20 mm", "M6 x 20 mm"),
}


def metal_fittings(generic: Mapping[str, Fitting], unit: Unit) -> dict[str, Fitting]:
    """The twins for metal of generic end fittings with screws, by name. ``unit``: the job's."""
    return {
        name + FOR_METAL: replace(fitting, name=name + FOR_METAL, screw=_machine(fitting.screw, unit))
        for name, fitting in generic.items()
        if fitting.screw is not None
    }


def metal_brackets(generic: Mapping[str, Bracket], unit: Unit) -> dict[str, Bracket]:
    """The twins for metal of generic brackets, by name."""
    return {
        name + FOR_METAL: replace(bracket, name=name + FOR_METAL, screw=_machine(bracket.screw, unit))
        for name, bracket in generic.items()
    }


def _machine(screw: Screw, unit: Unit) -> Screw:
    return parse_screw(MACHINE[unit][screw.shank > STOUT])


def by_material(
    runs: Sequence[Run],
    said: Sequence[tuple[bool, bool]],
    places: Sequence[str],
    stands: Stands,
    kinds: Mapping[str, PostKind],
) -> tuple[tuple[Run, ...], list[Problem]]:
    """The runs, the usual fitting at an end on a metal post replaced by its twin, and a note for each run so changed.

    ``said``: for each run whether its start and its finish were named; those stay. ``places``: the runs' paths.
    """
    members: dict[str, list[Run]] = defaultdict(list)
    for run in runs:
        for post in run.posts:
            members[post].append(run)
    found, notes = [], []
    for run, named, place in zip(runs, said, places, strict=True):
        ends = {"start": run.posts[0], "finish": run.posts[-1]}
        metal = {
            key: kinds[kind_at(stands, post, members[post])].material
            for (key, post), fixed in zip(ends.items(), named, strict=True)
            if not fixed and kinds[kind_at(stands, post, members[post])].material.kind == "metal"
        }
        if metal:
            names = {key: getattr(run, key) + FOR_METAL for key in metal}
            run = replace(run, **names)
            words = " and ".join(f"{key} taken as {quoted(name)}" for key, name in names.items())
            of = " and ".join(dict.fromkeys(material.name for material in metal.values()))
            remedy = "measure your own and name them: " + " and ".join(f"{key} = ..." for key in names)
            notes.append(Problem("note", place, f"{words}, with machine screws: the post is of {of}", remedy))
        found.append(run)
    return tuple(found), notes
