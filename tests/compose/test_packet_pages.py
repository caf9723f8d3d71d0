"""The packet's own pages can be read: exact size, words in the page, none on others, large enough, no circles but of holes."""

from __future__ import annotations

from dataclasses import replace

import pytest
from packet_pages import NAMES, pages, size_of, texts

from jiggen.compose.form import form
from jiggen.drawing.lettering import strokes
from jiggen.drawing.scene import Drawing, Oval, Text
from jiggen.render.svg import svg
from jiggen.sheets.extent import Box, extent, overlaps, text_extent

PAPERS = ("letter", "a4")
LEAST = 2.3  # mm, of a capital


def tight(text: Text) -> Box:
    """The box of the capitals and figures: without the room for a comma or an accent."""
    left, bottom, right, top = text_extent(text)
    low, high = 0.35 * text.height, 0.1 * text.height
    if abs(text.angle) < 0.1:
        return (left, bottom + low, right, top - high)
    if abs(abs(text.angle) - 1.5708) < 0.1:
        return (left + high, bottom, right - low, top) if text.angle > 0 else (left + low, bottom, right - high, top)
    middle = (
        (left + right) / 2.0,
        (bottom + top) / 2.0,
    )  # a slanting word: its heart, as an upright box of it is far too large
    return (middle[0] - 1.0, middle[1] - 1.0, middle[0] + 1.0, middle[1] + 1.0)


def crossings(drawing: Drawing) -> list[tuple[str, str]]:
    boxed = sorted(((tight(text), text.text) for text in texts(drawing)), key=lambda pair: pair[0][0])
    found = []
    for index, (box, word) in enumerate(boxed):
        for other_box, other in boxed[index + 1 :]:
            if other_box[0] > box[2]:
                break
            if overlaps(box, other_box, 0.1):
                found.append((word, other))
    return found


def test_crossings_are_seen() -> None:
    _, drawing = pages("smallest", "letter")[0]
    first = texts(drawing)[0]
    assert crossings(replace(drawing, shapes=(*drawing.shapes, replace(first, text="ON TOP"))))


@pytest.mark.parametrize("on", PAPERS)
@pytest.mark.parametrize("name", NAMES)
def test_pages_can_be_read(name: str, on: str) -> None:
    """Exact size; every shape on the page; words at least 2.3 mm high, none on another; no ellipse."""
    wide, high = size_of(on)
    parts = {part for part, _ in pages(name, on)}
    assert parts >= {
        "cover",
        "plan view",
        "elevations",
        "Posts",
        "Drill list",
        "Tension",
        "Inspection",
        "form",
        "contents",
    }
    for part, drawing in pages(name, on):
        assert (drawing.width, drawing.height) == (wide, high), part
        assert texts(drawing), part
        for shape in drawing.shapes:
            assert not isinstance(shape, Oval), part
            left, bottom, right, top = tight(shape) if isinstance(shape, Text) else extent(shape)
            assert left > -0.05 and bottom > -0.05 and right < wide + 0.05 and top < high + 0.05, (part, shape)
        assert min(text.height for text in texts(drawing)) > LEAST - 1e-9, part
        assert crossings(drawing) == [], part


@pytest.mark.parametrize("on", PAPERS)
def test_the_blank_form_can_be_read(on: str) -> None:
    for units in ("in", "mm"):
        for drawing in form(None, (), size_of(on), units):  # type: ignore[arg-type]
            assert crossings(drawing) == []
            assert all(tight(text)[2] < drawing.width + 0.05 and tight(text)[1] > -0.05 for text in texts(drawing))


def test_same_pages_twice() -> None:
    """Made again from the file, the same bytes."""
    first = [svg(drawing) for _, drawing in pages("demo", "letter")]
    pages.cache_clear()
    assert [svg(drawing) for _, drawing in pages("demo", "letter")] == first


def test_the_printed_pages_hold_no_circle() -> None:
    """What reads a packet back counts circles as holes: none of these pages has one, and their words can be searched."""
    from io import BytesIO

    from pypdf import PdfReader

    from jiggen.readback.pdf import read_pdf
    from jiggen.render.pdf import pdf
    from jiggen.sheets.paper import paper
    from jiggen.sheets.tiling import single

    made = pages("demo_all", "a4")
    data = pdf([single(paper("a4"), one, label="n", title=part, foot="foot") for part, one in made], title="Pages")
    assert read_pdf(data).circles == ()
    told = [page.extract_text() for page in PdfReader(BytesIO(data)).pages]
    for (part, drawing), found in zip(made, told, strict=True):
        run_together = "".join(found.split())
        for text in texts(drawing):
            assert "".join(text.text.split()) in run_together, (part, text.text)


def test_long_names_stay_on_the_page() -> None:
    """Names as long as a job may have them, in every place that shows one."""
    from jobs_made import plan as made_plan
    from jobs_made import run, stair

    from jiggen.compose.cover import cover
    from jiggen.compose.elevation import elevations
    from jiggen.compose.planview import plan_view
    from jiggen.compose.schedules import findings, schedules
    from jiggen.review import review

    names = [f"WWWWWWWWWWWWWWWWWW {letter}" for letter in "ABCDE"]
    runs = [
        run([1100.0, 1100.0, 1100.0]) | {"posts": names[:4], "id": "MMMMMMMMMMMMMMMMMMMM"},
        run([900.0]) | {"posts": names[3:], "turn": "left 90 deg", "stair": stair(178.0, 280.0)},
    ]
    plan = made_plan(runs, job={"name": ("A long name of a job that goes on " * 3)[:80].strip()})
    problems, size = (*plan.problems, *review(plan)), size_of("a4")
    made = [cover(plan, problems, size), plan_view(plan, problems, size), *findings(plan, problems, size)]
    made += [*elevations(plan, problems, size), *form(plan, problems, size)]
    made += [drawing for section in schedules(plan, problems, size) for drawing in section.drawings]
    for drawing in made:
        for text in texts(drawing):
            left, bottom, right, top = tight(text)
            assert left > -0.05 and bottom > -0.05 and right < size[0] + 0.05 and top < size[1] + 0.05, text
            assert text.height > LEAST - 1e-9


@pytest.mark.parametrize("name", NAMES)
def test_every_letter_is_in_the_font(name: str) -> None:
    """What the font lacks is drawn as a box."""
    told = {letter for _, drawing in pages(name, "letter") for text in texts(drawing) for letter in text.text}
    assert {letter for letter in told if strokes(letter, 2.5) == strokes("\ue000", 2.5)} == set()


def test_letters_of_names_are_in_the_font() -> None:
    """Names as people write them: accents, quotes, ordinals, dashes; U+E000 is nobody's letter and is drawn as the box."""
    name = "Überlänge “Señora” d'été — O'Häuser & Söhne, \"the long deck\" at Wharf Nº 5 §2, 3ª"
    assert [letter for letter in name if strokes(letter, 2.5) == strokes("\ue000", 2.5)] == []
