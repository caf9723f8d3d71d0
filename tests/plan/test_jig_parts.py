"""Jigs' parts judged alone: bad input with its remedy, webs, bushings, small holes, splits, comb, discs."""

from __future__ import annotations

import re

import pytest
from jigs_made import JOBS, WISH, all_jigs, shop_plan, with_wish

from jiggen.handbook.rules import rule_set
from jiggen.plan.jigs.gauges import NOMINAL, comb, discs, graded, graded_kerfs
from jiggen.plan.jigs.make import comb_jig, discs_jig, jigs
from jiggen.plan.jigs.model import Jig
from jiggen.problems import Problem


def made(name: str, sheet: str = "S2", **changes: object) -> Jig:
    plan = with_wish(name, **changes)
    return jigs(plan, next(g for g in plan.groups if g.id == sheet))[0]


def the(problems: tuple[Problem, ...], word: str) -> Problem:
    found = [p for p in problems if word in p.found or word in p.where]
    assert found, [str(p) for p in problems]
    return found[0]


@pytest.mark.parametrize(
    ("changes", "where", "found"),
    [
        ({"thickness": 0.0}, "jig.thickness", "0 mm"),
        ({"thickness": 6.0, "kerf": 3.1}, "jig.kerf", "6.10 mm"),  # slot 6 + 0.1, half of it 3.05
        ({"kerf": -0.2}, "jig.kerf", "-0.2"),
        ({"bed": (40.0, 40.0)}, "jig.bed", "24 x 24"),  # 40 - 2 x 8 free edge - 0.2 cut
        ({"stock": (45.0, 45.0)}, "jig.stock", "29 x 29"),
    ],
)
def test_bad_input_is_told_with_its_remedy(changes: dict[str, object], where: str, found: str) -> None:
    jig = made("example", **changes)
    problem = the(jig.problems, where)
    assert problem.level == "stop"
    assert found in problem.found
    assert len(problem.remedy) > 15
    assert not jig.parts


def test_a_kerf_of_just_half_the_slot_is_taken() -> None:
    assert made("example", thickness=6.0, kerf=3.05).parts


def test_a_bed_too_narrow_for_the_plate_names_the_size_that_does() -> None:
    problem = the(made("example", bed=(600.0, 120.0)).problems, "4 15/16 in (125.6 mm) wide")
    # 88.9 + 2 x (0.3 + 5.9944 + 0.05 + 12) = 125.6 wide, and 16 of free edge
    assert problem.level == "stop"
    assert "143 x" in problem.remedy or "142 x" in problem.remedy


def test_a_bushing_that_leaves_no_web_is_a_stop() -> None:
    """Screws 44.45 mm and rows 31.75 mm apart: a bushing of 31 mm leaves 0.75 mm."""
    jig = made("example", "S1", bushing=31.0)
    problem = the(jig.problems, "mm) of board")
    assert problem.level == "stop"
    assert "bushing" in problem.remedy
    fits = made("example", "S1", bushing=12.7)
    assert not [p for p in fits.problems if p.level == "stop"]
    assert any("press fit" in words for words in fits.notes)
    guides = [h for part in fits.parts for h in part.holes if h.use == "guide"]
    assert guides and all(h.diameter == 12.7 for h in guides)


def test_without_bushings_wear_is_said() -> None:
    assert any("wears" in words and "common practice" in words for words in made("example").notes)


def test_notes_are_in_the_jobs_units() -> None:
    """An inch job: thousandths or a tape's fraction, mm behind in brackets; 0.2 / 25.4 = 0.0079. A metric one: mm alone."""
    inch, metric = " ".join(made("example").notes), " ".join(made("ramp").notes)
    assert "kerf 0.008 in (0.20 mm)" in inch and "1/4 in" in inch
    assert not re.search(r"\bmm\b", re.sub(r"\([\d.]+ mm\)", "", inch))
    assert "kerf 0.20 mm" in metric and not re.search(r"\d in\b", metric)


def test_dowels_are_what_is_sold() -> None:
    """1/4 in = 6.35 mm in an inch job, 6 mm in a metric one; their holes 0.1 mm more."""
    for name, sheet, wide in (("stair-up", "S2", 6.45), ("ramp", "S2", 6.1)):
        found = {h.diameter for part in made(name, sheet).parts for h in part.holes if h.use == "dowel"}
        assert sorted(found) == [pytest.approx(wide)], name


def test_a_hole_too_small_to_cut_is_engraved() -> None:
    """A lead hole of 3.4544 + 0.1 mm and a cut of 2 mm: 1.55 mm is left, less than the cut."""
    jig = made("example", "S1", kerf=2.0)
    problem = the(jig.problems, "too small")
    assert problem.level == "check" and "3.55 mm" in problem.remedy


@pytest.mark.parametrize("name", JOBS)
def test_sample_jigs_have_no_stop_and_a_web_everywhere(name: str) -> None:
    assert all_jigs(name)
    for jig in all_jigs(name):
        assert [str(p) for p in jig.problems if p.level == "stop"] == []


def test_no_piece_is_longer_than_the_bed() -> None:
    for bed in ((600.0, 400.0), (450.0, 300.0), (320.0, 320.0), (1300.0, 600.0)):
        jig = made("example", "S1", bed=bed)
        assert jig.parts
        for part in jig.parts:
            left, bottom, right, top = part.box()
            sides = sorted((right - left, top - bottom))
            assert sides[1] + WISH.kerf <= max(bed) - 16.0 + 1e-6
            assert sides[0] + WISH.kerf <= min(bed) - 16.0 + 1e-6
        assert {m for p in jig.pieces for m in p.marks} == {
            m.id for m in shop_plan("example").face_by_id[jig.face].marks if m.purpose != "bracket"
        }
    assert len(made("example", "S1", bed=(1300.0, 600.0)).pieces) == 1
    assert len(made("example", "S1", bed=(320.0, 320.0)).pieces) == 3


def test_a_job_without_a_jig_table_has_none() -> None:
    from packets import job

    from jiggen.plan.make import make_plan

    plan = make_plan(job("smallest"))
    assert plan.job.jig is None
    assert jigs(plan, plan.groups[0]) == ()
    assert comb_jig(plan) is None and discs_jig(plan) is None


def test_comb_tells_thickness_and_kerf() -> None:
    """A slot is its label and the fit wide; tab and window of label K are one size when the machine cuts K."""
    slots, windows, tabs = comb(WISH)
    ends = sorted({p.x for p in slots.outline if p.y == 44.0})[1:-1]
    widths = [right - left for left, right in zip(ends[0::2], ends[1::2], strict=True)]
    assert widths == pytest.approx([size + 0.1 for size in graded(WISH)])
    assert not slots.raw and windows.raw and tabs.raw
    for i, kerf in enumerate(graded_kerfs(WISH)):
        xs = [p.x for p in windows.slots[i]]
        window = max(xs) - min(xs) + kerf  # the cut takes half of its width on each side
        corners = sorted({p.x for p in tabs.outline if p.y > 24.1})
        tab = corners[2 * i + 1] - corners[2 * i] - kerf
        assert window == pytest.approx(NOMINAL) and tab == pytest.approx(NOMINAL)
    words = " ".join(label.text for part in (slots, windows, tabs) for label in part.labels)
    assert "thickness" in words and "kerf" in words and "0.20" in words and "5.99" in words


@pytest.mark.parametrize(
    ("name", "sizes"),
    [
        ("irc-2021", [101.6, 111.125, 152.4]),  # 4, 4-3/8 and 6 in (IRC R312.1.3)
        ("ibc-2021", [101.6, 111.125, 152.4]),  # the same sizes (IBC 1015.4)
        ("abcb-2022", [125.0]),  # ABCB Housing Provisions 11.3.4
        ("adk-2013", [100.0]),  # Approved Document K 2013, 100 mm sphere
        ("nbc-2020", [100.0, 150.0]),  # NBC 2020 9.8.8
    ],
)
def test_discs_are_the_spheres_of_the_rules(name: str, sizes: list[float]) -> None:
    found = discs(rule_set(name), WISH)
    assert [part.disc for part in found] == pytest.approx(sizes)
    rules = rule_set(name)
    words = {part.disc: " ".join(label.text for label in part.labels) for part in found}
    assert all("MUST NOT PASS" in text for text in words.values())
    for zone in rules.zones:
        assert zone.clause in words[round(zone.sphere, 4)]
    if rules.triangle:
        assert rules.triangle_clause in words[round(rules.triangle, 4)]


def test_a_disc_larger_than_the_bed_is_left_out_and_told() -> None:
    """A bed of 120 x 400 mm has room for 103.8 mm: the 4 in disc stays, 4-3/8 and 6 in go."""
    found = discs_jig(with_wish("example", bed=(120.0, 400.0)))
    assert found is not None
    assert [part.disc for part in found.parts] == pytest.approx([101.6])
    assert [p.where for p in found.problems] == ["discs/2", "discs/3"]


def test_cautions_name_no_machine() -> None:
    from jiggen.plan.jigs.make import CAUTIONS

    words = " ".join(CAUTIONS)
    for part in ("Eye protection", "fire", "Fumes", "PVC", "nothing here is said of any machine"):
        assert part in words
