"""Every bench runs, on a tiny size, and times what it says; how fast anything is, is not judged here."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import pytest
from bench import bench_all, works
from bench.jobs_bench import demo_survey, different, few_kinds
from bench.rivals import RIVALS, flat
from bench.table import alike_rows, drawing_rows, exponent, growth_rows, packet_row, row, stage_rows
from pypdf import PdfReader

from jiggen.build import Options, survey
from jiggen.job.read import read_job
from jiggen.readback.pdf import read_pdf


def test_every_post_has_its_own_sheet() -> None:
    made = survey(read_job(different(6)))
    assert [one.group.posts for one in made.sheets] == [("0a",), ("0b",), ("1a",), ("1b",), ("2a",), ("2b",)]
    assert made.stops == ()


def test_six_kinds_have_no_more_sheets_for_more_posts() -> None:
    counts = [len(survey(read_job(few_kinds(posts)), Options(jigs="none")).sheets) for posts in (30, 60)]
    assert counts[0] == counts[1]
    assert counts[0] >= 6


def test_cold_commands(tmp_path: Path) -> None:
    """They exist under the names that the benches use, and those that take no second run."""
    commands = works.cold(tmp_path)
    assert tuple(commands) == bench_all.COLD
    assert works.in_turn({name: commands[name] for name in ("bare Python", "jiggen --help")}, 1)["jiggen --help"] > 0.0


def test_whole_packets() -> None:
    packet = works.warm(2)["2 posts, all different"]()
    assert works.pages(packet) > 2  # type: ignore[arg-type]
    assert list(works.warm(4)) == ["the demo", "4 posts, all different"]


def test_a_process_of_its_own() -> None:
    """Two posts: the lists are a part of the time, and no Python with our libraries is under 20 MB."""
    found = works.apart(different(2))
    assert 0.0 < found.lists < found.seconds
    assert found.megabytes > 20.0


def needs_libcairo() -> None:
    try:
        import cairosvg  # noqa: F401
    except OSError:
        pytest.skip("libcairo is not on this machine")


@pytest.mark.parametrize("name", list(RIVALS))
def test_rivals_draw_the_same_page(name: str) -> None:
    """One page of the same size, with ink in it that covers about what ours does."""
    if "cairo" in name:
        needs_libcairo()
    page = works.one_page()
    data = RIVALS[name](flat(page))
    assert data.startswith(b"%PDF-")
    (made,) = PdfReader(BytesIO(data)).pages
    sizes = [float(made.mediabox.width), float(made.mediabox.height)]
    # 1 in = 72 pt = 25.4 mm
    assert sizes == pytest.approx([page.paper.width / 25.4 * 72.0, page.paper.height / 25.4 * 72.0], abs=0.5)
    assert darkness(data) == pytest.approx(darkness(works.drawing()["jiggen"]()), rel=0.12)  # type: ignore[arg-type]


def darkness(data: bytes) -> float:
    """Share of the page that ink covers, as pdfium shows it."""
    import pypdfium2

    picture = pypdfium2.PdfDocument(data)[0].render(scale=2.0, grayscale=True).to_numpy()
    return float(1.0 - picture.mean() / 255.0)


def test_what_we_time_is_a_whole_template_page() -> None:
    page = works.one_page()
    marks = read_pdf(works.drawing()["jiggen"](), unnamed=False).circles  # type: ignore[arg-type]
    assert len(marks) > 5
    assert page in demo_survey().sheets[0].tiled.pages
    assert page.rulers


def test_exponent() -> None:
    assert exponent({10: 3.0, 20: 6.0, 40: 12.0}) == pytest.approx(1.0)
    assert exponent({10: 1.0, 20: 4.0, 40: 16.0}) == pytest.approx(2.0)


def test_rows() -> None:
    needs_libcairo()
    assert row("plan", "3 ms", "2 ms", False) == "| plan | 3 ms | 2 ms | NO |"
    every = list(drawing_rows(1)), list(stage_rows(1))
    assert [line.split(" | ")[0] for line in every[1][:-1]] == [f"| demo: {name}" for name in bench_all.STAGES]
    for rows in every:
        assert all(line.count("|") == 5 and line.startswith("| ") for line in rows)
        assert any(line.endswith((" yes |", " NO |")) for line in rows)


def test_rows_of_few_kinds(monkeypatch: pytest.MonkeyPatch) -> None:
    """Medians of the three times that each was made, in turn: 4 of 4, 3, 5; 8.5 of 9, 8.5, 7; 2.5 of 2.5, 2, 3."""
    times = ((4.0, 1.0), (9.0, 2.5), (3.0, 1.0), (8.5, 2.0), (5.0, 1.0), (7.0, 3.0))
    found = iter([works.Apart(*one, 50.0) for one in times])
    monkeypatch.setattr(works, "apart", lambda text: next(found))
    # 1.5 x 4 s + 2.5 s = 8.5 s, and that is not under it
    assert list(alike_rows(50, 3))[-1] == row(
        "50 posts of 6 kinds", "8.50 s", "1.5 x 4.00 s and 2.50 s for schedules and lists = 8.50 s", False
    )


def test_growth(monkeypatch: pytest.MonkeyPatch) -> None:
    """Time with the square of the size: an exponent of 2, and memory over its bound at the largest."""
    monkeypatch.setattr(works, "apart", lambda text: works.Apart(text.count("[[run]]") ** 2.0, 0.0, 300.0))
    rows = list(growth_rows((2, 4), 1))
    assert [line.endswith(" NO |") for line in rows] == [False, True, True]
    assert rows[-1] == row("exponent of time from 2 to 4 sheets", "2.000", "1.05", False)


def test_a_packet_of_sixty_posts_has_a_limit(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(works, "apart", lambda text: works.Apart(5.0, 1.0, 50.0))
    assert list(packet_row(60, 1)) == [row("packet of 60 posts of 6 kinds", "5.00 s; 50 MB at most", "5 s", False)]
    assert list(packet_row(30, 1)) == [row("packet of 30 posts of 6 kinds", "5.00 s; 50 MB at most", "")]
