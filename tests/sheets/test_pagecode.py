"""The square in a page's foot: what it says comes back, wrong cells are mended or noticed, chance says nothing."""

from __future__ import annotations

from binascii import crc_hqx
from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st

from jiggen.sheets.correction import foot_words
from jiggen.sheets.model import Paper
from jiggen.sheets.pagecode import CELLS, Cells, PageCode, cells, page_code, read, tag_of
from jiggen.sheets.paper import paper

LETTER = paper("letter")
FOOT = "Porch on the hill   7F3A-22C1"


def turned(code: Cells, places: list[tuple[int, int]]) -> list[list[bool]]:
    made = [list(row) for row in code]
    for row, column in places:
        made[row][column] = not made[row][column]
    return made


def test_a_sheet_page_says_all() -> None:
    code = page_code(LETTER, "S12  POST 3", "", "S12", 3, FOOT)
    assert code == PageCode(215.9, 279.4, 12.7, "S12", 3, 0, False, "7F3A-22C1", False)
    assert read(cells(code)) == code
    assert code.name == "page 3 of sheet S12"


def test_scale_page_and_other_pages() -> None:
    scale = page_code(paper("a4"), "SCALE PAGE", "scale", "", 1, "uncorrected")
    assert scale and scale.scale and scale.fingerprint == "" and (scale.width, scale.height) == (210.0, 297.0)
    assert read(cells(scale)) == scale
    other = page_code(LETTER, "DRILL LIST", "drill list 2", "", 1, FOOT)
    assert other and other.tag == tag_of("drill list 2") and not other.sheet
    assert read(cells(other)) == other
    assert tag_of("drill list 2") != tag_of("drill list 1")


def test_a_corrected_page_says_so_whatever_the_printer_is_called() -> None:
    words = foot_words("ABCD-1234")
    for foot in (f"{FOOT}   {words}", f"{words}   {FOOT}"):
        code = page_code(LETTER, "S1", "", "S1", 1, foot)
        assert code and code.corrected and code.fingerprint == "7F3A-22C1", foot
    plain = page_code(LETTER, "S1", "", "S1", 1, "ABCD-1234 house, corrected for wind   7F3A-22C1")
    assert plain and plain.fingerprint == "7F3A-22C1" and not plain.corrected


def test_sizes_in_tenths_never_reach_over_the_paper() -> None:
    """8.27 x 25.4 = 210.058, down to 210.0; a margin of 6.35 up to 6.4."""
    code = page_code(Paper("", 8.27 * 25.4, 300.0, 6.35), "S1", "", "S1", 1, FOOT)
    assert code and (code.width, code.margin) == (210.0, 6.4)


def test_paper_too_large_for_a_code_has_none() -> None:
    assert page_code(Paper("", 1700.0, 2000.0, 10.0), "S1", "", "S1", 1, FOOT) is None


def test_a_sheet_beyond_the_numbers_is_named_by_its_label() -> None:
    code = page_code(LETTER, "S2000", "S2000-1", "S2000", 1, FOOT)
    assert code and code.sheet == "" and code.tag == tag_of("S2000-1")


codes = st.builds(
    PageCode,
    st.integers(600, 16383).map(lambda n: n / 10.0),
    st.integers(600, 16383).map(lambda n: n / 10.0),
    st.integers(0, 290).map(lambda n: n / 10.0),
    st.builds(lambda a, n: f"{a}{n}", st.sampled_from("ABCFJPRSZ"), st.integers(1, 1023)),
    st.integers(1, 511),
    st.just(0),
    st.just(False),
    st.integers(1, 0xFFFFFFFF).map(lambda n: f"{n:08X}"[:4] + "-" + f"{n:08X}"[4:]),
    st.booleans(),
)


@settings(max_examples=60, deadline=None)
@given(codes, st.integers(0, CELLS * CELLS - 2))
def test_any_one_wrong_cell_is_mended(code: PageCode, place: int) -> None:
    assert read(turned(cells(code), [divmod(place, CELLS)])) == code


def test_a_speck_of_two_by_two_cells_is_mended_anywhere() -> None:
    """The bits of a word lie 28 cells apart: 1 row and 13 columns."""
    code = PageCode(215.9, 279.4, 12.7, "S3", 2, 0, False, "7F3A-22C1")
    for row in range(CELLS - 1):
        for column in range(CELLS - 1):
            speck = [(row + a, column + b) for a in (0, 1) for b in (0, 1)]
            assert read(turned(cells(code), speck)) == code, (row, column)


def test_two_wrong_bits_of_one_word_are_noticed() -> None:
    code = PageCode(215.9, 279.4, 12.7, "S3", 2, 0, False, "7F3A-22C1")
    for word in range(28):
        both = [divmod(word, CELLS), divmod(word + 28 * 3, CELLS)]
        assert read(turned(cells(code), both)) is None


def test_chance_plain_paper_and_a_turned_code_say_nothing() -> None:
    chance = Random(7)
    for _ in range(2000):
        assert read([[chance.random() < 0.5 for _ in range(CELLS)] for _ in range(CELLS)]) is None
    for plain in (True, False):
        assert read([[plain] * CELLS for _ in range(CELLS)]) is None
    code = cells(PageCode(215.9, 279.4, 12.7, "S3", 2, 0, False, "7F3A-22C1"))
    quarter = [list(row) for row in zip(*code[::-1], strict=True)]
    assert read(quarter) is None and read([row[::-1] for row in code]) is None
    assert read([[True] * 3] * 3) is None


def test_the_check_is_the_published_one() -> None:
    """CRC-16 with polynomial 0x1021 from 0xFFFF: of the text 123456789 it is 0x29B1 (from memory)."""
    assert crc_hqx(b"123456789", 0xFFFF) == 0x29B1


def test_no_area_is_plain() -> None:
    """A code of few bits still has black and white in every block of 5 x 5 cells, as a threshold needs them."""
    code = page_code(paper("a4"), "SCALE PAGE", "scale", "", 1, "uncorrected")
    assert code
    black = cells(code)
    for row in range(0, CELLS, 5):
        for column in range(0, CELLS, 5):
            block = [black[r][c] for r in range(row, row + 5) for c in range(column, column + 5)]
            assert 4 < sum(block) < 21
