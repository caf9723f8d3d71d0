"""The lettering: its shapes against ISO 3098 type B (proportions from memory), its sums, its legibility."""

from __future__ import annotations

import re
from itertools import combinations, pairwise
from pathlib import Path
from timeit import repeat
from xml.etree import ElementTree

import numpy as np
import pytest
from PIL import Image, ImageDraw
from pytest import approx

from jiggen.drawing import lettering
from jiggen.drawing.lettering import fitted, pen, strokes, width

FONT = Path(__file__).parents[2] / "fonts" / "jiggen-stroke.svg"
SVG = "{http://www.w3.org/2000/svg}"
ASCII = "".join(map(chr, range(0x20, 0x7F)))
DRAWING = "°×±−·–’“”⌀½¼¾⅛⅜⅝⅞"
LATIN = "".join(map(chr, range(0xC0, 0x100)))
CAPITALS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
DIGITS = "0123456789"
BOX = "\u4e00"  # a character that no one expects here


def glyphs() -> dict[str, ElementTree.Element]:
    return {glyph.attrib["unicode"]: glyph for glyph in ElementTree.parse(FONT).iter(f"{SVG}glyph")}


def bounds(text: str, height: float = 10.0) -> tuple[float, float, float, float]:
    xs, ys = zip(*(point for stroke in strokes(text, height) for point in stroke), strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def raster(character: str, height: int = 24) -> np.ndarray:
    """The character in ink, 0 to 1 a pixel, capitals ``height`` pixels high, round pen of a tenth of that."""
    fine = 4  # drawn four times as large, then averaged
    image = Image.new("L", (2 * height * fine, 2 * height * fine), 0)
    draw, radius = ImageDraw.Draw(image), pen(height * fine) / 2
    for stroke in strokes(character, height * fine):
        spots = [(x, 1.5 * height * fine - y) for x, y in stroke]
        draw.line(spots, fill=255, width=round(2 * radius))
        for x, y in spots:
            draw.ellipse((x - radius, y - radius, x + radius, y + radius), fill=255)
    pixels = np.asarray(image, dtype=float) / 255.0
    return pixels.reshape(2 * height, fine, 2 * height, fine).mean(axis=(1, 3))


def unlikeness(first: str, second: str) -> float:
    """Ink that only one of the two has, in whole pixels at 24 px, the second moved to where it fits best."""
    one, other = raster(first), raster(second)
    return min(float(np.abs(one - np.roll(other, shift, axis=1)).sum()) for shift in range(-8, 9))


def test_every_character_asked_for_has_a_glyph() -> None:
    assert [c for c in ASCII + DRAWING + LATIN if c not in glyphs()] == []


def test_every_glyph_but_the_blanks_is_drawn_and_not_as_the_box() -> None:
    box = strokes(BOX, 1.0)
    for character in glyphs():
        drawn = strokes(character, 1.0)
        assert (drawn == ()) == (character in " \u00a0"), character
        assert drawn != box, character


def test_the_file_holds_absolute_m_and_l_alone_and_few_points() -> None:
    for character, glyph in glyphs().items():
        path = glyph.get("d", "")
        assert re.fullmatch(r"(M-?\d+ -?\d+( L-?\d+ -?\d+)+ ?)*", path), character
        assert len(re.findall("[ML]", path)) <= 40, character


def test_the_file_is_in_the_order_of_the_code_points_one_glyph_a_line() -> None:
    order = [ord(character) for character in glyphs()]
    assert order == sorted(set(order))
    assert sum(line.startswith("<glyph ") for line in FONT.read_text("utf-8").splitlines()) == len(order)


def test_face_values_say_type_b() -> None:
    face = next(ElementTree.parse(FONT).iter(f"{SVG}font-face")).attrib
    # ISO 3098 type B, from memory: lower case 7/10 h, stroke 1/10 h
    assert float(face["x-height"]) / float(face["cap-height"]) == approx(0.7)
    assert pen(5.0) == approx(0.5)  # 5 / 10
    highest = max(bounds(c, 1.0)[3] for c in glyphs() if c not in " \u00a0")
    lowest = min(bounds(c, 1.0)[1] for c in glyphs() if c not in " \u00a0")
    assert highest + 0.05 <= float(face["ascent"]) / 1000.0  # half a pen above the centre line
    assert lowest - 0.05 >= float(face["descent"]) / 1000.0


@pytest.mark.parametrize("character", CAPITALS + DIGITS)
def test_capitals_and_digits_stand_on_the_base_line_and_reach_the_height(character: str) -> None:
    _, low, _, high = bounds(character)
    assert (low, high) == (approx(0.0, abs=1e-9), approx(10.0))


@pytest.mark.parametrize("character", "acemnorsuvwxz")
def test_small_letters_are_seven_tenths_high(character: str) -> None:
    _, low, _, high = bounds(character)
    assert (low, high) == (approx(0.0, abs=1e-9), approx(7.0))  # 7/10 of 10


@pytest.mark.parametrize("character", "bdfhikl")
def test_ascenders_reach_the_height_of_a_capital(character: str) -> None:
    _, low, _, high = bounds(character)
    assert (low, high) == (approx(0.0, abs=1e-9), approx(10.0))


@pytest.mark.parametrize("character", "gjpqy")
def test_descenders_go_three_tenths_below(character: str) -> None:
    # ISO 3098 type B, from memory: tail 3/10 h
    assert bounds(character)[1] == approx(-3.0)


def test_ink_begins_at_the_origin_and_the_gap_is_two_tenths() -> None:
    for character, glyph in glyphs().items():
        if character in " \u00a0":
            continue
        left, _, right, _ = bounds(character, 1.0)
        assert left == approx(0.05), character  # half a pen
        assert float(glyph.attrib["horiz-adv-x"]) / 1000.0 == approx(right + 0.05 + 0.2), character


def test_widths_add_up() -> None:
    # H: centre lines 0.52 apart, ink 0.62; L: 0.43 apart, ink 0.53; the gap between them 0.2.
    # 0.62 + 0.2 + 0.53 = 1.35 of the height
    assert width("HL", 10.0) == approx(13.5)
    # between words 0.6: 0.62 + 0.6 + 0.53 = 1.75 of the height
    assert width("H L", 10.0) == approx(17.5)
    assert width("H\u00a0L", 10.0) == width("H L", 10.0)


def test_width_is_from_ink_to_ink() -> None:
    for text in ("Post 3, face toward 4", "⌀5.5 × 90 mm, 35.5°", "4⅞ in"):
        left, _, right, _ = bounds(text, 3.5)
        assert left == approx(0.175)  # half of 3.5 / 10
        assert width(text, 3.5) == approx(right + 0.175)


def test_width_of_nothing_is_nothing_and_blanks_at_the_ends_do_not_count() -> None:
    assert width("", 5.0) == width("   ", 5.0) == 0.0
    assert width(" 76.2 ", 5.0) == width("76.2", 5.0)
    assert strokes("  ", 5.0) == ()


def test_lettering_scales_with_its_height() -> None:
    small, large = strokes("Bore 7/32", 2.5), strokes("Bore 7/32", 5.0)
    assert [len(stroke) for stroke in small] == [len(stroke) for stroke in large]
    for one, other in zip(small, large, strict=True):
        assert [(2 * x, 2 * y) for x, y in one] == [approx(point) for point in other]


def test_fitted_keeps_the_height_where_there_is_room() -> None:
    assert fitted("HL", 5.0, 100.0) == 5.0
    assert fitted("", 5.0, 0.0) == 5.0


def test_fitted_fills_the_room_and_stops_at_the_least_height() -> None:
    # 1.35 of the height wide (see above): room 5.4 mm / 1.35 = 4.0 mm
    assert fitted("HL", 5.0, 5.4) == approx(4.0)
    assert width("HL", fitted("HL", 5.0, 5.4)) == approx(5.4)
    # 2.7 / 1.35 = 2.0, below 2.5
    assert fitted("HL", 5.0, 2.7) == 2.5
    assert fitted("HL", 5.0, 2.7, least=1.8) == approx(2.0)


def test_an_unknown_character_is_a_box() -> None:
    (box,) = strokes(BOX, 10.0)
    # centre lines 5 wide from half a pen, as high as a capital, closed
    assert box == tuple(map(approx, [(0.5, 0.0), (5.5, 0.0), (5.5, 10.0), (0.5, 10.0), (0.5, 0.0)]))
    assert width(f"H{BOX}", 10.0) == approx(14.2)  # 6.2 + 2.0 + 6.0


def test_letter_and_accent_apart_are_the_letter_with_the_accent() -> None:
    assert strokes("e\u0301", 5.0) == strokes("é", 5.0)
    assert width("e\u0301", 5.0) == width("é", 5.0)


def test_accents_stand_clear_of_their_letters() -> None:
    for character in "ÀÁÂÃÄÅÈÉÊËÌÍÎÏÑÒÓÔÕÖÙÚÛÜÝàáâãäåèéêëìíîïñòóôõöùúûüýÿ":
        top = 10.0 if character.isupper() else 7.0
        over = [p.y for stroke in strokes(character, 10.0) for p in stroke if p.y > top + 1e-9]
        assert over, character
        assert min(over) - top > pen(10.0), character  # paper to be seen between the two


def test_dots_are_drawn_without_round_ends_too() -> None:
    for character in ".:!?ij;÷·…ÄÖ":
        dots = [s for s in strokes(character, 10.0) if len(s) == 5 and s[0] == s[-1]]
        assert dots, character
        for dot in dots:
            xs, ys = zip(*dot, strict=True)
            assert (max(xs) - min(xs), max(ys) - min(ys)) == (approx(0.4), approx(0.4)), character


def test_no_stroke_is_a_single_point() -> None:
    for character in ASCII + DRAWING + LATIN + BOX:
        for stroke in strokes(character, 2.5):
            assert len(stroke) >= 2
            assert all(a != b for a, b in pairwise(stroke)), character


LOOKALIKES = [*combinations(DIGITS, 2), *combinations("0Oo", 2), *combinations("1Il|", 2)]
LOOKALIKES += [("5", "S"), ("8", "B"), ("2", "Z"), ("6", "b"), ("9", "g")]
LOOKALIKES += [*combinations("½¼¾⅛⅜⅝⅞", 2), ("⌀", "Ø"), ("⌀", "0"), ("×", "x"), ("−", "+"), ("1", "7")]


@pytest.mark.parametrize(("first", "second"), LOOKALIKES)
def test_characters_that_must_not_be_mistaken_differ(first: str, second: str) -> None:
    # 24 px high the pen is 2.4 px wide. Asked for: a stroke a third of the height long that only one of the
    # two has, 8 x 2.4 = 19 pixels (common practice, no source).
    assert unlikeness(first, second) > 19.0


def test_a_character_does_not_differ_from_itself() -> None:
    assert unlikeness("8", "8") == 0.0


def test_the_font_is_read_and_lettering_is_set_quickly() -> None:
    lines = [f"Post {n}, face toward {n + 1}: bore 7/32 in. through, {n} holes" for n in range(200)]
    reading = min(repeat(lettering._font.__wrapped__, number=1, repeat=7))
    setting = min(repeat(lambda: [strokes.__wrapped__(line, 3.5) for line in lines], number=1, repeat=5))
    assert reading < 4 * 15e-3  # 15 ms, and four times that on a busy machine
    assert setting / sum(map(len, lines)) < 4 * 3e-6  # 3 microseconds a character, likewise


def test_the_font_is_found_inside_an_installed_package_and_beside_a_checkout(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert lettering._font_file().samefile(FONT)
    inside = tmp_path / "jiggen" / "fonts" / FONT.name
    inside.parent.mkdir(parents=True)
    inside.write_bytes(FONT.read_bytes())
    monkeypatch.setattr(lettering, "__file__", str(tmp_path / "jiggen" / "drawing" / "lettering.py"))
    assert lettering._font_file() == inside.resolve()
