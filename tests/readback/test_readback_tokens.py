"""Content streams to operations. Forms of objects: ISO 32000-1, 7.3."""

from __future__ import annotations

import pytest

from jiggen.readback.tokens import Name, operations


def all_of(data: bytes) -> list[tuple[bytes, list[object]]]:
    return list(operations(data))


def test_numbers_and_operators() -> None:
    assert all_of(b"1 -.5 +17 4. 0.25 -0 c\nS f* 3 w'") == [
        (b"c", [1.0, -0.5, 17.0, 4.0, 0.25, 0.0]),
        (b"S", []),
        (b"f*", []),
        (b"w'", [3.0]),
    ]


def test_strings() -> None:
    # ISO 32000-1, 7.3.4.2: balanced brackets need no escape; \ddd is octal; a backslash and an end of
    # line are nothing.
    assert all_of(rb"(a(b)c\)\\\101\n) Tj") == [(b"Tj", [b"a(b)c)\\A\n"])]
    assert all_of(b"(one \\\ntwo) Tj") == [(b"Tj", [b"one two"])]
    assert all_of(b"(q 1 0 0 1 5 5 cm ET) Tj <48 65 7> Tj") == [
        (b"Tj", [b"q 1 0 0 1 5 5 cm ET"]),
        (b"Tj", [b"Hep"]),  # 48 65 7 -> 48 65 70, the missing digit is 0
    ]


def test_names_arrays_and_dictionaries() -> None:
    assert all_of(b"/A#20B<</K(v)/N[1 /x true null]/D<</E 2>>>>BDC[3 1]0 d") == [
        (b"BDC", ["A B", {"K": b"v", "N": [1.0, "x", True, None], "D": {"E": 2.0}}]),
        (b"d", [[3.0, 1.0], 0.0]),
    ]
    assert isinstance(all_of(b"/OC /L1 BDC")[0][1][1], Name)


def test_comments_nulls_and_inline_images_are_passed_over() -> None:
    assert all_of(b"1 % 2 m (\n\x003 m\x00h") == [(b"m", [1.0, 3.0]), (b"h", [])]
    assert all_of(b"q BI /W 2 /H 1 ID ab(S\xff\nEI Q") == [(b"q", []), (b"BI", []), (b"Q", [])]


@pytest.mark.parametrize(
    "data",
    [b"(abc", b"<41", b"<4G>", b"[1 2", b"<</A 1", b"<</A>> x", b"BI /W 1 ID abc", b")", b"}", b"1-2 m",
     b"\xe9\xe9 m", b"[" * 100, b"((((", b"/a " * 20_000],
)  # fmt: skip
def test_what_is_no_content_stream(data: bytes) -> None:
    with pytest.raises(ValueError):
        all_of(data)
