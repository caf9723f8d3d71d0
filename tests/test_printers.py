"""Profiles kept in a folder of the test's own, and the command that keeps, lists and removes them."""

from __future__ import annotations

import os
import tomllib
from datetime import date, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from hypothesis import given
from hypothesis import strategies as st

from jiggen.cli_printer import loaded, printer
from jiggen.printers import Profile, age_note, every, folder, from_toml, load, remove, safe_name, save, to_toml
from jiggen.sheets.correction import Correction

DAY = date(2025, 3, 14)
OFFICE = Profile("Office-2", "letter", Correction(1.0005, 0.99625, 0.002), DAY, 0.00026, "across 190.6 of 190.5 mm")


def test_kept_and_found_again(tmp_path: Path) -> None:
    place = tmp_path / "not" / "there" / "yet"
    path = save(OFFICE, place)
    assert load("office-2", "letter", place) == load("OFFICE-2", "letter", place) == OFFICE
    assert tomllib.loads(path.read_text(encoding="utf-8"))["measured"] == DAY
    assert sorted(os.listdir(place)) == [path.name]


def test_kept_by_name_and_paper(tmp_path: Path) -> None:
    other = Profile("office-2", "a4", Correction(0.999, 1.001), DAY)
    third = Profile("attic", "a4", Correction(), DAY)
    for one in (OFFICE, other, third):
        save(one, tmp_path)
    newer = Profile("office-2", "letter", Correction(1.001), DAY + timedelta(1))
    save(newer, tmp_path)
    assert every(tmp_path) == ([third, other, newer], [])
    assert remove("Office-2", "a4", tmp_path) == ["a4"]
    assert remove("office-2", "a4", tmp_path) == []
    save(other, tmp_path)
    assert remove("office-2", None, tmp_path) == ["a4", "letter"]
    assert every(tmp_path)[0] == [third]


@pytest.mark.parametrize(
    ("name", "paper", "reason"),
    [
        ("office-2", "a4", 'printer "office-2" is not kept for a4, only for letter; .*jiggen scale --paper a4'),
        ("attic", "letter", 'no printer "attic" is kept; known are office-2'),
        ("../office-2", "letter", "cannot name a printer"),
    ],
)
def test_what_is_not_kept_is_told(tmp_path: Path, name: str, paper: str, reason: str) -> None:
    save(OFFICE, tmp_path)
    with pytest.raises(ValueError, match=reason):
        load(name, paper, tmp_path)


def test_nothing_kept_at_all(tmp_path: Path) -> None:
    assert every(tmp_path / "none") == ([], [])
    assert remove("office-2", None, tmp_path / "none") == []
    with pytest.raises(ValueError, match="nor any other"):
        load("office-2", "letter", tmp_path / "none")


@pytest.mark.parametrize(
    "name", ["", ".", "..", "a/b", "a\\b", "a b", "-a", "a-", "a.b", "a\n", "\u00e4", "x" * 25, "a\0"]
)
def test_names_that_could_leave_the_folder_are_refused(name: str) -> None:
    with pytest.raises(ValueError, match="cannot name a printer"):
        safe_name(name)


def test_a_paper_without_a_name_is_refused() -> None:
    with pytest.raises(ValueError, match="has no name"):
        Profile("office-2", "200 x 280 mm", Correction(), DAY)


def test_a_failed_write_leaves_the_earlier_profile(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    save(OFFICE, tmp_path)

    def refuse(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", refuse)
    with pytest.raises(OSError, match="No space"):
        save(Profile("office-2", "letter", Correction(1.01), DAY), tmp_path)
    assert len(os.listdir(tmp_path)) == 1
    assert load("office-2", "letter", tmp_path) == OFFICE


@pytest.mark.parametrize(
    "text",
    [
        "",
        "name = ",
        'name = "office-2"',
        to_toml(OFFICE).replace("across = 1.0005", "across = 1.2"),
        to_toml(OFFICE).replace("across = 1.0005", 'across = "wide"'),
        to_toml(OFFICE).replace("skew = 0.002", "skew = nan"),
        to_toml(OFFICE).replace("2025-03-14", "2025-03-14T10:00:00"),
        to_toml(OFFICE).replace('"letter"', "5"),
        to_toml(OFFICE).replace("Office-2", "Office-3"),
        to_toml(OFFICE) + "#" * 20000,
    ],
)
def test_a_damaged_file_is_told_and_harms_no_other(tmp_path: Path, text: str) -> None:
    sound = Profile("attic", "a4", Correction(), DAY)
    save(sound, tmp_path)
    save(OFFICE, tmp_path).write_text(text, encoding="utf-8")
    found, notes = every(tmp_path)
    assert found == [sound]
    assert [note.level for note in notes] == ["note"]
    with pytest.raises(ValueError, match="keeps"):
        load("office-2", "letter", tmp_path)
    assert remove("office-2", None, tmp_path) == ["letter"]


@given(st.text(max_size=60).filter(lambda text: not any(0xD800 <= ord(c) < 0xE000 for c in text)))
def test_any_reading_survives_the_file(read: str) -> None:
    profile = Profile("office-2", "a4", Correction(1.01, 0.99, -0.003), DAY, 1e-4, read)
    assert from_toml(to_toml(profile)) == profile


@pytest.mark.parametrize(("days", "said"), [(0, ""), (90, ""), (91, "measured 91 days ago"), (-1, "still to come")])
def test_age(days: int, said: str) -> None:
    note = age_note(OFFICE, DAY + timedelta(days))
    assert (note is None) == (said == "")
    if note is not None:
        assert note.level == "note"
        assert said in note.found


def test_the_users_own_config_folder(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """XDG Base Directory Specification: $XDG_CONFIG_HOME where it is set; other systems keep their own places."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    assert folder().name == "printers"
    if os.name == "posix" and os.uname().sysname == "Linux":
        assert folder() == tmp_path / "jiggen" / "printers"


@pytest.fixture
def place(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    monkeypatch.setattr("jiggen.printers.folder", lambda: tmp_path / "kept")
    return tmp_path / "kept"


def run(*arguments: str) -> Result:
    return CliRunner().invoke(printer, list(arguments))


READ = ("--across", "190.6 of 190.5 mm", "--along", "239.1 of 240 mm")


def test_command_keeps_lists_removes(place: Path) -> None:
    """190.6 / 190.5 = 100.05 %, 239.1 / 240 = 0.99625, written as 99.62 %; 0.05 / 190.5 x 900 = 0.24 mm."""
    kept = run("office-2", *READ)
    assert kept.exit_code == 0
    assert "office-2 kept for letter: prints 100.05 % across, 99.62 % along" in kept.stdout
    assert "up to 0.2 mm over 900 mm" in kept.stdout
    assert "jiggen make JOB --printer office-2" in kept.stdout
    assert run("attic", *READ, "--paper", "a4", "--diagonals", "184.2, 183.4 mm").exit_code == 0
    listed = run()
    assert listed.exit_code == 0
    assert listed.stdout.index("attic on a4") < listed.stdout.index("office-2 on letter")
    assert "leans 0.25 degrees right" in listed.stdout  # asin of (184.2^2 - 183.4^2) / (184.2^2 + 183.4^2) = 0.2494
    assert "across 190.6 of 190.5 mm, along 239.1 of 240 mm" in listed.stdout
    assert "attic" not in run("office-2").stdout
    gone = run("office-2", "--remove")
    assert (gone.exit_code, gone.stdout) == (0, "office-2 removed for letter\n")
    assert [one.name for one in every(place)[0]] == ["attic"]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("office-2", "--across", "184 of 190.5 mm", "--along", "240 of 240 mm"), "fit-to-page"),
        (("office-2", "--across", "wide", "--along", "240 of 240 mm"), "across"),
        (("office-2", "--across", "190 of 190 mm"), "--along"),
        (("office-2", "--diagonals", "184, 184 mm"), "--across"),
        (("office-2", *READ, "--diagonals", "184"), "both diagonals"),
        (("office-2", "--across", "239 of 240 mm", "--along", "190 of 190 mm"), "hold the page upright"),
        (("../office", *READ), "cannot name a printer"),
        (READ, "no name is given"),
        (("--remove",), "no name is given"),
        (("office-2", "--remove"), "not kept"),
        (("office-2", "--remove", *READ), "readings are given too"),
        (("office-2",), "not kept"),
        (("../office",), "cannot name a printer"),
        (("office-2", *READ, "--paper", "a5"), "a5"),
    ],
)
def test_command_refuses(place: Path, arguments: tuple[str, ...], said: str) -> None:
    ran = run(*arguments)
    assert ran.exit_code == 2
    assert ran.stdout == ""
    assert said in " ".join(ran.stderr.split())
    assert not place.exists()


def test_command_tells_an_old_profile_and_a_damaged_one(place: Path) -> None:
    save(Profile("office-2", "letter", Correction(), date(2001, 1, 1)), place)
    save(Profile("attic", "letter", Correction(), date(2001, 1, 1)), place).write_text("?", encoding="utf-8")
    ran = run()
    assert ran.exit_code == 0
    assert "office-2 on letter" in ran.stdout
    assert "note: printer office-2: measured" in ran.stderr
    assert "remove that file" in " ".join(ran.stderr.split())


def test_command_that_cannot_write(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    monkeypatch.setattr("jiggen.printers.folder", lambda: tmp_path / "file" / "printers")
    ran = run("office-2", *READ)
    assert ran.exit_code == 3
    assert "cannot be written" in ran.stderr
    assert ran.stdout == ""


def test_no_printer_yet(place: Path) -> None:
    ran = run()
    assert ran.exit_code == 0
    assert "no printer is kept" in ran.stdout


def test_what_make_loads(place: Path, capsys: pytest.CaptureFixture[str]) -> None:
    old = Profile("attic", "a4", Correction(1.01), date(2001, 1, 1))
    fresh = Profile("office-2", "a4", Correction(0.99), date.today())
    save(old, place)
    save(fresh, place)
    assert loaded("office-2", "a4") == fresh
    assert capsys.readouterr().err == ""
    assert loaded("attic", "a4") == old
    assert "note: printer attic: measured" in capsys.readouterr().err
    for name, paper in (("office-2", "letter"), ("office-2", "200 x 280 mm"), ("none", "a4"), ("../none", "a4")):
        with pytest.raises(SystemExit) as ended:
            loaded(name, paper)
        assert ended.value.code == 2
        assert "stop: printer" in capsys.readouterr().err


def test_rulers_of_another_paper_s_scale_page_are_not_kept_for_letter(place: Path) -> None:
    """A4 with margins of 12.7: 210 - 25.4 = 184.6 wide, a ruler of 10 x ((184.6 - 14) // 10) = 170; 297 - 25.4 - 12 - 6.5 =
    253.1 high, 10 x ((253.1 - 11) // 10) = 240. On letter 170 and 220."""
    four = ("attic", "--across", "170.2 of 170 mm", "--along", "239.5 of 240 mm")
    asked = run(*four)
    assert asked.exit_code == 2 and not place.exists()
    assert "rulers of 170 and 240 mm are those of a scale page on a4" in " ".join(asked.stderr.split())
    assert "kept for a4" in run(*four, "--paper", "a4").stdout
    assert "kept for letter" in run(*four, "--paper", "letter").stdout
    assert "kept for letter" in run("shed", "--across", "170.2 of 170 mm", "--along", "219.5 of 220 mm").stdout
