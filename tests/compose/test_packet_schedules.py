"""The schedules hold every post, sheet, mark and cut of the plan; contents, cover and form say what they must."""

from __future__ import annotations

import csv
import re
import tomllib
from collections import Counter
from collections.abc import Iterable
from io import StringIO

import jobs_made
import pytest
from packet_pages import FILES, NAMES, planned, size_of, texts, words

from jiggen.compose import asks
from jiggen.compose.contents import contents, numbered
from jiggen.compose.cover import cover
from jiggen.compose.form import form
from jiggen.compose.lists import drill_list
from jiggen.compose.schedules import drill_pages, findings, post_pages, schedules
from jiggen.compose.section import Section
from jiggen.compose.site import care, tension
from jiggen.drawing.lettering import width
from jiggen.drawing.scene import Drawing, Ink, Text
from jiggen.drawing.scene import Path as Way
from jiggen.job.model import Stair
from jiggen.job.read import read_job
from jiggen.plan.drilling import holes
from jiggen.plan.make import make_plan
from jiggen.plan.model import Plan
from jiggen.plan.rails import end_words
from jiggen.plan.takeoff import SPARE
from jiggen.plan.words import cut_label
from jiggen.problems import nth
from jiggen.sheets.extent import extent
from jiggen.told import told
from jiggen.units import mm_text


def section(name: str, title: str, on: str = "letter") -> Section:
    plan, problems = planned(name)
    (found,) = (one for one in schedules(plan, problems, size_of(on)) if one.name == title)
    return found


def rows(drawings: Iterable[Drawing]) -> list[list[str]]:
    """The rows of tables read back: words of a row are those between two level lines of its boxes, cell by cell."""
    from jiggen.drawing.scene import Path

    found = []
    for drawing in drawings:
        boxes = [extent(s) for s in drawing.shapes if isinstance(s, Path) and s.closed and s.ink is Ink.TICK]
        inks = [s for s in drawing.shapes if isinstance(s, Text)]
        bands = list(dict.fromkeys((round(box[1], 4), round(box[3], 4)) for box in boxes))
        for bottom, top in bands:
            cells = sorted(box for box in boxes if round(box[1], 4) == bottom and round(box[3], 4) == top)
            found.append(
                [
                    " ".join(t.text for t in inks if box[0] <= extent(t)[0] <= box[2] and box[1] < t.at.y < box[3])
                    for box in cells
                ]
            )
    return found


@pytest.mark.parametrize("name", NAMES)
def test_every_post_with_its_sheets(name: str) -> None:
    plan, _ = planned(name)
    found = rows(section(name, "Posts").drawings)
    sheet = {face: group.id for group in plan.groups for face in group.faces}
    assert {row[0] for row in found} - {"", "post"} == {post.id for post in plan.posts}
    post = ""
    seen = set()
    for row in found:
        post = row[0] or post
        seen.add((post, row[3], row[4]))
    wanted = {(face.post, face.name, sheet[face.id]) for p in plan.posts for face in p.faces if face.marks}
    assert wanted <= seen


def test_bracket_holes_are_on_no_sheet_where_the_rail_is_in_place() -> None:
    """The demo's sheets hang under the rail: S3, of post 6 toward 7, shows 9 x 2 screws and neither the top rail's B1, B2 nor
    the bottom rail's B3, B4; pages and drill-list.csv say so alike."""
    said = "none, with the rail"
    plan, _ = planned("demo")
    posts = [row[3:6] for row in rows(section("demo", "Posts").drawings)]
    at = posts.index(["toward 7", "S3", "1a to 9b (18)"])
    assert posts[at + 1] == ["toward 7", said, "B1 to B4 (4)"]
    drilled = rows(section("demo", "Drill list").drawings)
    found = {(row[2], label) for row in drilled if row[:2] == ["6", "toward 7"] for label in row[5].split()}
    screws = {("S3", f"{cable}{letter}") for cable in range(1, 10) for letter in "ab"}
    assert found == screws | {(said, f"B{number}") for number in range(1, 5)}
    listed = csv.reader(StringIO(drill_list(plan).decode()))
    assert {(row[3], row[0].rpartition("/")[2]) for row in listed if row[1:3] == ["6", "toward 7"]} == found
    told = " ".join(words(section("demo", "Drill list").drawings))
    assert "SHEET S3: 6/toward 7" in told and "NOT ON SHEET S3, WITH THE RAIL: 6/toward 7" in told


@pytest.mark.parametrize("datum", ["height line", "deck"])
def test_bracket_holes_are_on_the_sheet_where_no_rail_is_in_place(datum: str) -> None:
    text = FILES["demo"].read_text(encoding="utf-8") + f'\n[sheet]\ndatum = "{datum}"\n'
    for made in (post_pages, drill_pages):
        told = " ".join(words(made(make_plan(read_job(text)), (), size_of("letter"))))
        assert "B2" in told and "with the rail" not in told.lower()


@pytest.mark.parametrize("name", NAMES)
def test_columns_of_the_drill_list_have_names_of_their_own(name: str) -> None:
    """An inch job has the tape's drop beside the mm; a metric one the mm alone."""
    plan, _ = planned(name)
    head, first, *_ = csv.reader(StringIO(drill_list(plan).decode("utf-8-sig")))
    assert len(set(head)) == len(head) == len(first)
    assert [one for one in head if one.startswith("drop")] == ["drop in"] * (plan.job.units == "in") + ["drop mm"]
    mark = plan.posts[0].faces[0].marks[0]
    assert first[head.index("mark")] == mark.id and first[head.index("drop mm")] == mm_text(mark.drop, 2)


@pytest.mark.parametrize("name", NAMES)
def test_every_mark_is_in_the_drill_list(name: str) -> None:
    """By post: each label of each face once, beside its own drill."""
    plan, _ = planned(name)
    found: Counter[tuple[str, str, str, str]] = Counter()
    for row in rows(section(name, "Drill list").drawings):
        if len(row) == 7 and row[0] in plan.post_by_id and f"{row[0]}/{row[1]}" in plan.face_by_id:
            found.update((row[0], row[1], label, row[3]) for label in row[5].split())
    wanted = Counter(
        (mark.post, face.name, mark.label, mark.drill.name)
        for p in plan.posts
        for face in p.faces
        for mark in face.marks
    )
    assert found == wanted


@pytest.mark.parametrize("name", NAMES)
def test_holes_by_drill_are_the_take_offs(name: str) -> None:
    plan, _ = planned(name)
    counted: Counter[str] = Counter()
    for row in rows(section(name, "Drill list").drawings):
        if len(row) == 6 and row[4].isdigit():
            counted[row[0]] += int(row[4])
    assert dict(counted) == {drill.drill: drill.holes for drill in plan.takeoff.drills}
    assert sum(counted.values()) == sum(hole.count for post in plan.posts for hole in holes(post))


@pytest.mark.parametrize("name", NAMES)
def test_every_drop_by_sheet(name: str) -> None:
    """The millimetres of each mark that a sheet draws stand in its table: once, behind the tape reading of an inch job."""
    plan, _ = planned(name)
    inch = plan.job.units == "in"
    found: Counter[tuple[str, str]] = Counter()
    for row in rows(section(name, "Drill list").drawings):
        drop = row[1 + inch] if len(row) == 6 + inch else ""
        if re.fullmatch(r"-?\d+\.\d", drop):
            found[row[0], drop] += 1
    wanted = Counter(
        (mark.label, f"{mark.drop + 1e-9:.1f}")
        for g in plan.groups
        for f in g.strip
        for mark in plan.face_by_id[f].marks
    )
    near = {(label, float(drop)) for label, drop in found}
    assert sum(found.values()) == sum(wanted.values())
    assert all(any(a == label and abs(b - float(drop)) < 0.11 for a, b in near) for label, drop in wanted)


@pytest.mark.parametrize("name", NAMES)
def test_every_cut_and_spool(name: str) -> None:
    """Each cable once, never shorter than it must be and longer by less than a step of the tape; each spool's cuts."""
    plan, _ = planned(name)
    drawings = section(name, "Cable cuts and spools").drawings
    found = {row[0]: row for row in rows(drawings) if len(row) == 6 and row[0] != "cable"}
    lengths = {cut_label(cut.run, cut.cable): cut.length for cut in plan.takeoff.cables}
    spare = [spool for spool in (plan.takeoff.buying.spools if plan.takeoff.buying else ()) if SPARE in spool.cuts]
    assert len(spare) == (plan.takeoff.buying is not None)
    if spare:
        lengths[SPARE] = max(lengths.values())
    assert set(found) == set(lengths)
    for label, row in found.items():
        told = float(re.findall(r"([\d.]+) mm", row[2])[-1])
        assert -0.06 <= told - lengths[label] < plan.job.round_to + 0.06, label
    if plan.takeoff.buying:
        spools = [row for row in rows(drawings) if len(row) == 4 and row[0].isdigit()]
        assert [row[2].split() for row in spools] == [list(spool.cuts) for spool in plan.takeoff.buying.spools]


@pytest.mark.parametrize("name", NAMES)
def test_hardware_and_rails(name: str) -> None:
    plan, _ = planned(name)
    found = rows(section(name, "Hardware, rails and drills").drawings)
    listed = [row for row in found if len(row) == 4 and row[1].isdigit()]
    items = len(plan.takeoff.hardware)
    assert [(row[0], int(row[1])) for row in listed[:items]] == list(plan.takeoff.hardware)
    packed = [(drill.drill, drill.holes, str(drill.both or "")) for drill in plan.takeoff.drills]
    packed += [(f"tap {thread}", many, "") for thread, many in plan.takeoff.taps]
    assert [(row[0], int(row[1]), row[2]) for row in listed[items:]] == packed
    rails = [tuple(row[:5]) for row in found if len(row) == 6 and row[1].startswith(("top", "bottom"))]
    cut = [(*(end_words(plan.job, end) for end in (rail.start, rail.finish)),) for rail in plan.takeoff.rails]
    assert [row[:2] for row in rails] == [(rail.run, rail.place) for rail in plan.takeoff.rails]
    assert [row[3:] for row in rails] == cut


@pytest.mark.parametrize("name", NAMES)
def test_tension_goes_from_the_middle_outwards(name: str) -> None:
    """The log's order: each cable once; every next one no nearer to the middle than the one before; four days of figures."""
    plan, _ = planned(name)
    found = rows(section(name, "Tension").drawings)
    for line in (
        line for line in plan.runs if line.head == line.id
    ):  # cables led on are those of the run they come from
        own = [row[1] for row in found if len(row) == 8 and row[0].isdigit() and row[1].removeprefix(line.id).isdigit()]
        numbers = [int(label.removeprefix(line.id)) for label in own if label.startswith(line.id)]
        middle = (len(line.drops) + 1) / 2.0
        away = [abs(number - middle) for number in numbers]
        assert sorted(numbers) == list(range(1, len(line.drops) + 1))
        assert away == sorted(away)
    pulls = [row for row in found if row[0] in ("full pull", "pull left here")]
    behind = [line for line in plan.runs if line.led and line.led.behind]
    assert sum(row[0] == "pull left here" for row in pulls) == len(behind)
    assert len(pulls) == sum(bool(pulling.columns) for pulling in plan.takeoff.pulling)
    assert all(len(row) == 5 for row in pulls)


@pytest.mark.parametrize("name", NAMES)
def test_inspection_names_clause_limit_and_finding(name: str) -> None:
    """The height of each run against its rule, and its worst opening at rest and loaded."""
    plan, _ = planned(name)
    found = [row for row in rows(section(name, "Inspection").drawings) if len(row) == 9]
    assert sum(row[1] == "height of the guard" for row in found) == len(plan.runs) * bool(plan.job.rules.heights)
    openings = [row for row in found if row[1].startswith("opening ")]
    assert len(openings) >= len(plan.runs)
    assert all(row[0] and row[2] and row[3] and row[4] for row in openings)
    assert all(row[5:] == ["", "", "", ""] for row in found if row[0] != "clause")
    for line in plan.runs:
        if isinstance(line.ground, Stair):
            assert any(row[1].startswith("triangle") for row in found)


def test_care_card_says_when() -> None:
    told = " ".join(words(section("demo", "Care card").drawings))
    assert all(moment in told for moment in ("after a day", "after a month", "each spring", "spring of"))


@pytest.mark.parametrize("name", NAMES)
def test_every_finding_is_told_in_full(name: str) -> None:
    plan, problems = planned(name)
    drawings = findings(plan, problems, size_of("letter"))
    found = [row for row in rows(drawings) if len(row) == 5 and row[0] != "level"]
    told = "".join("".join(row).replace(" ", "") for row in found)
    for problem in problems:
        assert problem.found.replace(" ", "") in told
        assert problem.remedy.replace(" ", "") in told
    levels = [row[0] for row in found if row[0]]
    assert levels == sorted(levels, key=["STOP", "CHECK", "NOTE"].index)


def test_contents_give_the_first_page_of_each_part() -> None:
    """Counted by hand: cover 1, contents 2, then 3, 3 + 2 = 5, 5 + 7 = 12."""
    plan, problems = planned("smallest")
    parts = [("Cover", 1), ("Elevations", 2), ("Posts", 7), ("Scale page", 1)]
    (drawing,) = contents(plan, problems, size_of("letter"), parts)
    found = [row for row in rows([drawing]) if row[1].isdigit()]
    assert found == [["Cover", "1"], ["Contents", "2"], ["Elevations", "3"], ["Posts", "5"], ["Scale page", "12"]]


def test_long_contents_count_their_own_pages() -> None:
    plan, problems = planned("smallest")
    parts = [("Cover", 1), *((f"Part {k}", 1 + k % 4) for k in range(150))]
    drawings = contents(plan, problems, size_of("a4"), parts)
    assert len(drawings) > 2
    shown = [(row[0], int(row[1])) for row in rows(drawings) if row[1].isdigit()]
    assert shown == numbered(parts, 1, len(drawings))
    assert dict(shown)["Part 0"] == 2 + len(drawings)
    with pytest.raises(ValueError, match="cannot come after"):
        contents(plan, problems, size_of("a4"), parts, at=200)


@pytest.mark.parametrize("name", NAMES)
def test_cover_counts_every_problem(name: str) -> None:
    plan, problems = planned(name)
    said = " ".join(text.text for text in texts(cover(plan, problems, size_of("letter"))))
    assert plan.fingerprint in said
    for level in ("stop", "check", "note"):
        own = [problem for problem in problems if problem.level == level]
        if own:
            findings, places = len(told(own)), len(own)
            count = f"{findings} at {places} places" if places > findings else f"{places}"
            assert re.search(rf"{level.upper()}: [^:()]*(\({count}\)|: {count}, further on)", said), level
    for heading in ("IN THIS ORDER", "PRINT AND CHECK", "CAUTIONS"):
        assert heading in said


def alike_runs(count: int) -> Plan:
    """Runs A, B, ... of two bays, each by itself and all alike but the last, which has two posts."""

    def own(n: int) -> jobs_made.Keys:
        posts = [f"{n}a", f"{n}b", f"{n}c"] if n < count - 1 else [f"{n}a", f"{n}b"]
        spans = [1000] * (len(posts) - 1)
        return {**jobs_made.run(spans, id=chr(65 + n), count=9, height=1000), "posts": posts, "at": [0, 4000 * n, 0]}

    return jobs_made.plan([own(n) for n in range(count)])


def test_cover_tells_alike_runs_in_one_line() -> None:
    """13 of three posts, 12 names and more: 11 and 2 more; the one of two posts by itself."""
    plan = alike_runs(14)
    said = [text.text for text in texts(cover(plan, (), size_of("letter")))]
    at = said.index("RUNS")
    words = " ".join(said[at + 1 : at + 4])
    assert words.startswith("A, B, C, D, E, F, G, H, I, J, K and 2 more: 3 posts each, level; 9 cables every ")
    assert " N: posts 13a, 13b, level; 9 cables every " in words


def test_tension_and_care_tell_alike_runs_together() -> None:
    """A and B pull and sag alike; C, of one bay, has less of its length to lose by the same stretch: by itself."""
    plan = alike_runs(3)
    pulled = " ".join(text.text for drawing in tension(plan, (), size_of("a4")) for text in texts(drawing))
    assert re.search(r"Runs A, B and C: \d+ N in all on each end post at the tightest\.", pulled)
    rows = [text.text for drawing in care(plan, (), size_of("a4")) for text in texts(drawing)]
    (first,) = (at for at, words in enumerate(rows) if words == "A and B")
    days = len(plan.takeoff.pulling[0].columns)
    sags = {p.run: [f"{mm_text(day[3])} to {mm_text(day[4])}" for day in p.columns] for p in plan.takeoff.pulling}
    assert rows[first + 1 : first + 1 + days] == sags["A"] == sags["B"] != sags["C"]
    assert rows[first + 1 + days] == "C" and rows[first + 2 + days : first + 2 + 2 * days] == sags["C"]


@pytest.mark.parametrize("name", NAMES)
def test_form_asks_for_every_span_post_and_step(name: str) -> None:
    """Its keys: each span of each run, each post's underside and lean; each has a place in a job file that TOML reads."""
    plan, problems = planned(name)
    drawings = form(plan, problems, size_of("letter"))
    told = " ".join(text.text for drawing in drawings for text in texts(drawing))
    for run in plan.job.runs:
        for index in range(len(run.lengths)):
            assert f"span {run.posts[index]} to {run.posts[index + 1]}" in told
            assert f"[[run]] {run.id}: {run.measured}, {nth(index + 1)}" in told
        for post in run.posts:
            assert f"[as_built.{post}] underside" in told and f"[as_built.{post}] lean, 2nd" in told
        others = {post for other in plan.job.runs if other.id != run.id for post in other.posts}
        for post, key in ((run.posts[0], "gap_at_start"), (run.posts[-1], "gap_at_finish")):
            assert (f"[[run]] {run.id}: {key}" in told) is (post not in others)
        if isinstance(run.ground, Stair):
            assert re.search(rf"\[\[run\]\] {run.id}, stair: rises, 1st", told)
            assert f"[[run]] {run.id}, stair: first_behind_nosing" in told
    tables = set(re.findall(r"\[as_built\.[A-Za-z0-9_-]+\](?= underside)", told))
    assert len(tables) == len({post for run in plan.job.runs for post in run.posts})
    tomllib.loads("".join(f"{table}\nunderside = 1\n" for table in sorted(tables)))


def test_form_has_a_box_for_each_underside_where_a_level_run_meets_a_stair() -> None:
    """At such a post alone, each with a key that TOML reads as the table of both runs."""
    steps = jobs_made.run([1000], 3, id="down it", stair=jobs_made.stair(178, 279, goes="down"))
    made = jobs_made.plan([jobs_made.run([1000, 1000], id="walk"), steps])
    keys = [ask.key for row in asks.rows(made) for stop in row.stops for ask in stop.asks if "underside" in ask.key]
    two = ["[as_built.3] underside.walk", '[as_built.3] underside."down it"']
    assert keys == ["[as_built.1] underside", "[as_built.2] underside", *two, "[as_built.4] underside"]
    written = "[as_built.3]\n" + "".join(f"{key.partition('] ')[2]} = 900\n" for key in two)
    assert tomllib.loads(written) == {"as_built": {"3": {"underside": {"walk": 900, "down it": 900}}}}


@pytest.mark.parametrize("name", NAMES)
def test_boxes_of_the_form_can_be_written_in(name: str) -> None:
    """At least 8 mm high and 25 mm wide: a carpenter's pencil."""
    plan, problems = planned(name)
    boxes = 0
    for drawing in form(plan, problems, size_of("a4")):
        for shape in drawing.shapes:
            if isinstance(shape, Way) and shape.ink is Ink.EDGE and dict(shape.data).get("part") == "box":
                xs, ys = [p.x for p in shape.points], [p.y for p in shape.points]
                assert max(xs) - min(xs) >= 25.0 and max(ys) - min(ys) >= 8.0
                boxes += 1
    assert boxes >= sum(len(run.lengths) + 2 * len(run.posts) for run in plan.job.runs)


def test_places_in_a_list_are_counted_as_one_counts() -> None:
    assert [nth(k) for k in (1, 2, 3, 4, 11, 12, 21, 22, 113)] == [
        "1st",
        "2nd",
        "3rd",
        "4th",
        "11th",
        "12th",
        "21st",
        "22nd",
        "113th",
    ]


def test_blank_form_has_keys_too() -> None:
    drawings = form(None, (), size_of("a4"), "mm")
    told = " ".join(text.text for drawing in drawings for text in texts(drawing))
    assert "[[run]] no. 1: spans, 6th" in told and "[post.KIND] width" in told
    assert told.count("[[run]] no. 2, stair: rises, ") == 14
    assert all(width(text.text, text.height) < size_of("a4")[0] for drawing in drawings for text in texts(drawing))
