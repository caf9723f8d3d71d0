"""Texts with units against the units' legal definitions, exact fractions, pint's own registry and noise."""

from __future__ import annotations

import math
import subprocess
import sys
import unicodedata
from fractions import Fraction

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from pytest import approx

from jiggen import units
from jiggen.units import (
    angle,
    degrees_text,
    expansion,
    feet,
    force,
    from_inches,
    length,
    mass_weight,
    mm_text,
    ratio,
    slope,
    stress,
    tape,
    temperature,
    turn,
)
from jiggen.units.factors import EVERYDAY, SCALES, by_pint, kelvin_of, registry

READERS = [length, force, mass_weight, temperature, angle, slope, turn, ratio, stress, expansion]
VULGAR = [chr(code) for code in range(0x110000) if unicodedata.name(chr(code), "").startswith("VULGAR FRACTION")]


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("3 1/8 in", 79.375),  # 3.125 x 25.4
        ('3-1/8"', 79.375),
        ("3⅛ in", 79.375),
        ("3 ⅛ in", 79.375),
        ("3-⅛ in", 79.375),
        ("3 1⁄8 in", 79.375),  # with the fraction slash
        ('3.125"', 79.375),
        ("3.125 inches", 79.375),
        ("25/8 in", 79.375),
        ("3 1/8 IN", 79.375),
        ("5' 4 3/4\"", 1644.65),  # 64.75 x 25.4
        ("5'-4 3/4\"", 1644.65),
        ("5′ 4¾″", 1644.65),
        ("5 ft 4 3/4 in", 1644.65),
        ("5ft 4.75in", 1644.65),
        ("5 feet 4-3/4 inches", 1644.65),
        ("-5 ft 4 3/4 in", -1644.65),  # the sign holds for the whole
        ("10 ft", 3048.0),  # 120 x 25.4
        ("2.5 ft", 762.0),  # 30 x 25.4
        ("1067 mm", 1067.0),
        ("1.067 m", 1067.0),
        ("106.7 cm", 1067.0),
        ("67.5 cm", 675.0),
        ("3 in", 76.2),
        ("-7/8 in", -22.225),  # 0.875 x 25.4
        ("−3/4 in", -19.05),  # 0.75 x 25.4, with the true minus
        ("+.5 in", 12.7),
        ("0", 0.0),
        ("1e3 mm", 1000.0),
    ],
)
def test_lengths(text: str, mm: float) -> None:
    assert length(text) == mm


def test_a_bare_number_is_in_the_job_s_unit() -> None:
    assert length("58", "in") == length(58, "in") == length(58.0, "in") == 1473.2  # 58 x 25.4
    assert length("58") == length(58) == 58.0
    assert length("3 1/8", "in") == 79.375
    assert length("40 mm", "in") == 40.0
    assert length(0.1, "in") == length("0.1", "in") == 2.54


@pytest.mark.parametrize("mark", VULGAR)
def test_every_one_character_fraction(mark: str) -> None:
    value = unicodedata.numeric(mark)  # the Unicode database's own value
    assert length(f"{mark} in") == approx(value * 25.4, abs=1e-9)
    assert length(f"-7{mark} in") == approx(-(7 + value) * 25.4, abs=1e-9)


def test_the_list_of_one_character_fractions_is_whole() -> None:
    assert len(VULGAR) == 19  # Unicode: U+00BC to 00BE, U+2150 to 215E and U+2189: 3 + 15 + 1


@pytest.mark.parametrize(
    "bad",
    [
        "",
        " ",
        "-",
        "in",
        "2 inchs",
        "2 in 3",
        "3 1/0 in",
        "1/0",
        "3 9/8 in",
        "3 - 1/8 in",
        "5 ft 13 in",
        "5 ft -4 in",
        "5' 4 in",
        "5.5 ft 3 in",
        "1,067 mm",
        "1 067 mm",
        "--3 in",
        "3 in\n",
        "١ in",
        "1e999 mm",
        "1e99 mm",
        "9" * 5000,
        "9" * 50,
        "nan",
        "inf mm",
        "0x10 mm",
        "1_000 mm",
        "9**9**9 mm",
        "__import__('os')",
        True,
        False,
        math.nan,
        math.inf,
        -math.inf,
        10**400,
        1e300,
        None,
        [],
        {"a": 1},
        b"3 in",
    ],
)
def test_what_is_no_length_says_how_to_write_one(bad: object) -> None:
    with pytest.raises(ValueError, match=r'^write a length such as "2 in"'):
        length(bad)  # type: ignore[arg-type]


@pytest.mark.parametrize("reader", READERS, ids=lambda reader: reader.__name__)
@pytest.mark.parametrize("bad", ["", "left", "ten", True, None, math.nan, math.inf, 10**400, "1 parsec", "1e999"])
def test_every_reader_refuses_with_its_own_remedy(reader, bad) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(ValueError, match=r"^write "):
        reader(bad)


@pytest.mark.parametrize("reader", READERS, ids=lambda reader: reader.__name__)
@settings(max_examples=150, deadline=None)
@given(text=st.one_of(st.text(max_size=70), st.text("0123456789 /.-+'\"eE%:inftmlbdegRrkK°⅛−()*", max_size=24)))
@example(text="⅟")
@example(text="3⅟8 in")
@example(text="İ")
@example(text="1 in 0")
def test_noise_raises_nothing_but_value_error(reader, text: str) -> None:  # type: ignore[no-untyped-def]
    try:
        result = reader(text)
    except ValueError as error:
        assert str(error).startswith("write ")
    else:
        assert isinstance(result, float) and math.isfinite(result)


@settings(max_examples=150, deadline=None)
@given(
    whole=st.integers(0, 5000),
    part=st.builds(lambda power, n: Fraction(n % 2**power, 2**power), st.integers(1, 6), st.integers(0, 63)),
    negative=st.booleans(),
)
def test_every_spelling_of_one_length_is_one_number(whole: int, part: Fraction, negative: bool) -> None:
    inches = whole + part
    sign = "-" if negative else ""
    fraction = f"{part.numerator}/{part.denominator}"
    decimal = f"{float(inches):.6f}"  # 1/64 has six places
    spellings = [f'{whole} {fraction}"', f"{whole}-{fraction} in", f"{decimal} inch", f"{decimal}"]
    spellings += [f"{whole // 12} ft {whole % 12} {fraction} in", f"{whole // 12}' {whole % 12}-{fraction}\""]
    spellings += [
        f"{float(inches * Fraction('25.4')):.8f} mm",
        f"{float(inches * Fraction('0.0254')):.11f} m",
    ]
    values = {length(sign + spelling, "in") for spelling in spellings}
    assert values == {float(inches * Fraction("25.4")) * (-1 if negative else 1)}


def test_forces() -> None:
    # 0.45359237 kg (yard and pound agreement 1959) x 9.80665 m/s2 (CGPM 1901) = 4.4482216152605 N
    assert force("225 lbf") == approx(225 * 4.4482216152605, rel=1e-12)
    assert force("225 lb") == force("225 lbs") == force("225 lbf") == force(225, "in")
    assert force("1 kN") == force("1000 N") == force(1000) == force("1000") == 1000.0
    assert approx(4.4482216152605, rel=1e-14) == units.N_PER_LBF


def test_what_hangs() -> None:
    assert mass_weight("5 kg") == mass_weight(5) == approx(49.03325)  # 5 x 9.80665
    assert mass_weight("500 g") == approx(4.903325)
    assert mass_weight("11 lb") == mass_weight(11, "in") == approx(48.930437767866)  # 11 x 4.4482216152605
    assert mass_weight("50 N") == 50.0


def test_temperatures() -> None:
    # K = (F + 459.67) x 5/9, K = C + 273.15 (SI Brochure, 9th ed.)
    assert temperature("65 degF") == temperature("65 °F") == temperature("65F") == approx(524.67 * 5 / 9)
    assert temperature("18 degC") == temperature("18 C") == temperature(18) == approx(291.15)
    assert temperature("-40 degF") == approx(temperature("-40 degC"))
    assert temperature(65, "in") == temperature("65 degF")
    assert temperature("291 K") == 291.0
    assert temperature("0 K") == temperature("-273.15 degC") == temperature("-459.67 degF") == 0.0
    for cold in ("-1 K", "-274 degC", "-460 degF"):
        with pytest.raises(ValueError, match="absolute zero"):
            temperature(cold)


def test_angles() -> None:
    assert angle("33 deg") == angle("33°") == angle(33) == approx(33 * math.pi / 180, rel=1e-14)
    assert angle("0.5 rad") == 0.5
    assert angle("-180 deg") == approx(-math.pi, rel=1e-14)


def test_slopes() -> None:
    assert slope("1 in 12") == slope("1:12") == slope("1/12") == approx(math.atan(1 / 12))
    assert slope("7 in 12") == slope("7 on 12") == slope("7/12") == approx(math.atan(7 / 12))
    assert math.degrees(slope("7-3/4 on 10")) == approx(37.776, abs=5e-4)  # atan 0.775, IRC R311.7.5's steepest
    assert slope("8.33 %") == slope("8.33%") == approx(math.atan(0.0833))
    assert slope("33 deg") == angle("33 deg")
    for bad in ("0 deg", "90 deg", "-5 deg", "0 in 12", "1 in 0", "0 %", "3 in", "2 rad"):
        with pytest.raises(ValueError, match="slope"):
            slope(bad)


def test_turns_are_positive_to_the_left() -> None:
    assert turn("left 90 deg") == turn("90 deg left") == turn("Left 90°") == turn(90) == approx(math.pi / 2)
    assert turn("right 22.5 deg") == turn("22.5 deg right") == turn("-22.5 deg") == approx(-math.pi / 8)
    assert turn("left 90") == approx(math.pi / 2)
    for bad in (
        "left",
        "right",
        "left -90 deg",
        "left 90 deg right",
        "200 deg",
        "up 3 deg",
        "leftright 3 deg",
    ):
        with pytest.raises(ValueError, match="turn"):
            turn(bad)


def test_shares_moduli_expansions() -> None:
    assert ratio("15 %") == ratio("15%") == ratio(0.15) == ratio("0.15") == 0.15
    assert ratio(15) == 15.0  # a bare number is a share, never per cent
    assert stress("130 GPa") == stress("130 kN/mm2") == stress("130 kN/mm²") == stress(130000) == 130000.0
    assert stress("1 psi") == approx(4.4482216152605 / 645.16)  # lbf over 25.4 x 25.4 mm2
    assert stress("1000 ksi") == approx(1e6 * stress("1 psi"))
    assert expansion("16e-6 /K") == expansion("16e-6 /degC") == expansion("16e-6") == expansion(16e-6) == 16e-6
    assert expansion("9e-6 /degF") == approx(16.2e-6)  # x 9/5


def test_tape_readings() -> None:
    read = tape(709.6)  # 27.937 in
    assert (read.whole, read.numerator, read.denominator, read.negative) == (27, 15, 16, False)
    assert (read.text, read.signed) == ("27 15/16", "27 15/16")
    assert read.rest == approx(709.6 - 27.9375 * 25.4)
    assert tape(25.4 * 3).text == "3"
    assert tape(19.05).text == "3/4"
    assert tape(-19.05).text == "-3/4"
    assert tape(0.0).text == tape(-0.2).text == "0"
    assert tape(25.4 * 27.51, 25.4 / 2).text == "27 1/2"
    assert tape(25.4 * 1.999).text == "2"
    assert tape(25.4 * 5.27, 0.254).text == "5.27"  # a step of 0.01 in
    assert tape(712.4, units="mm").text == "712.5"
    assert tape(712.4, 1.0, "mm").text == "712"
    assert tape(712.25, units="mm").text == "712.5"  # halves away from zero


def test_a_reading_says_which_way_it_is_off() -> None:
    assert tape(25.4 + 0.3).signed == "1 +"
    assert tape(25.4 - 0.3).signed == "1 -"
    assert tape(25.4 + 0.09).signed == "1"
    assert tape(-25.4 - 0.3).signed == "-1 +"  # longer than 1 in, on the other side
    assert tape(711.6, 1.0, "mm").signed == "712 -"


@settings(max_examples=200, deadline=None)
@given(mm=st.floats(-1e6, 1e6), power=st.integers(0, 7))
def test_a_tape_text_reads_back_as_its_reading(mm: float, power: int) -> None:
    step = 25.4 / 2**power
    read = tape(mm, step)
    assert length(read.text, "in") == read.reading
    assert abs(read.rest) <= step / 2 + 1e-6
    assert mm == approx(read.reading + read.rest)
    assert math.gcd(read.numerator, read.denominator) == 1


@settings(max_examples=150, deadline=None)
@given(mm=st.floats(-1e6, 1e6), step=st.sampled_from([0.1, 0.25, 0.5, 1.0, 5.0]))
def test_a_metric_tape_text_reads_back_as_its_reading(mm: float, step: float) -> None:
    read = tape(mm, step, "mm")
    assert length(read.text, "mm") == approx(read.reading, abs=1e-9)
    assert abs(mm - read.reading) <= step / 2 + 1e-6


@settings(max_examples=150, deadline=None)
@given(mm=st.floats(-1e6, 1e6))
def test_feet_read_back_as_the_tape_reads(mm: float) -> None:
    assert length(feet(mm)) == tape(mm).reading


def test_texts_out() -> None:
    assert feet(1644.65) == "5 ft 4 3/4 in"
    assert feet(-1644.65) == "-5 ft 4 3/4 in"
    assert feet(3048.0) == "10 ft"
    assert feet(304.8 + 19.05) == "1 ft 3/4 in"
    assert feet(120.65) == "4 3/4 in"
    assert mm_text(76.2) == "76.2"
    assert mm_text(76.25) == "76.3"  # halves away from zero, of the decimal number that is written
    assert mm_text(-76.25) == "-76.3"
    assert mm_text(-0.04) == mm_text(-0.0) == "0.0"
    assert mm_text(76.0) == "76.0"
    assert mm_text(76.5, 0) == "77"
    assert mm_text(1e7, 2) == "10000000.00"
    assert degrees_text(math.atan(0.775), 3) == "37.776"
    assert degrees_text(-1e-9) == "0.0"
    assert from_inches(Fraction(7, 32)) == 5.55625


def test_a_tape_refuses_what_it_cannot_read() -> None:
    for mm, step in ((math.nan, None), (math.inf, None), (1.0, 0.0), (1.0, -1.0)):
        with pytest.raises(ValueError):
            tape(mm, step)


def test_importing_units_leaves_pint_alone() -> None:
    program = "import sys, jiggen.units; sys.exit('pint' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", program], check=False).returncode == 0


def test_our_definitions_agree_with_pint_s_own() -> None:
    import pint

    theirs = pint.UnitRegistry()
    for text, ours in [("1 foot", length("1 ft")), ("1 inch", length("1 in"))]:
        assert theirs(text).to("mm").magnitude == approx(ours, rel=1e-12)
    assert theirs("1 force_pound").to("N").magnitude == approx(force("1 lbf"), rel=1e-12)
    assert theirs("1 psi").to("MPa").magnitude == approx(stress("1 psi"), rel=1e-12)
    assert theirs.Quantity(65, "degF").to("K").magnitude == approx(temperature("65 degF"), rel=1e-12)


@pytest.mark.parametrize(("unit", "target"), sorted(EVERYDAY))
def test_everyday_factors_are_pint_s(unit: str, target: str) -> None:
    assert EVERYDAY[unit, target] == by_pint(unit, target)


@pytest.mark.parametrize("scale", sorted(SCALES))
def test_temperature_scales_are_pint_s(scale: str) -> None:
    for amount in (Fraction(0), Fraction(65), Fraction("-12.5")):
        assert kelvin_of(amount, scale) == Fraction(registry().Quantity(amount, scale).to("kelvin").magnitude)


def test_an_everyday_job_leaves_pint_alone_and_others_ask_it() -> None:
    program = (
        "import sys; from jiggen.units import length, force, temperature, stress;"
        "length('5 ft 4 3/4 in'); force('225 lbf'); temperature('65 degF');"
        "early = 'pint' in sys.modules; stress('29 psi'); sys.exit(early or 'pint' not in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", program], check=False).returncode == 0


def test_what_a_tape_does_not_tell_from_nothing() -> None:
    assert tape(0.4).told == "nearly 0" and tape(-0.4).told == "nearly 0"  # under half of 1/16 in: 0.79 mm
    assert tape(0.05).told == "0" and tape(1.0).told == "just under 1/16"  # 1/16 in is 1.59 mm
