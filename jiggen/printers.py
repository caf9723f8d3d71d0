"""What was measured of a printer and a paper, kept as small TOML files in the user's own config folder."""

from __future__ import annotations

import contextlib
import errno
import os
import re
import tempfile
import tomllib
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from jiggen.problems import Problem
from jiggen.sheets.correction import Correction, from_data

OLD_DAYS = 90  # common practice, no source: drums, belts and paper stock change over a season
_NAME = re.compile(r"[A-Za-z0-9](?:[A-Za-z0-9_-]{0,22}[A-Za-z0-9])?")
_PAPER = re.compile(r"[a-z0-9]{1,12}")
_FILE = re.compile(r"printer\.([a-z0-9_-]{1,24})\.([a-z0-9]{1,12})\.toml")
_LARGEST = 16 * 1024  # bytes; ours have a few hundred


@dataclass(frozen=True, slots=True)
class Profile:
    """One printer on one paper: the correction, and how it was measured.

    ``doubt``: how far a corrected length may still be off for its length. ``read``: what was typed, for the
    list. ``measured``: the day. Raises ValueError, its text the reason, for a name or paper that cannot
    name a file.
    """

    name: str
    paper: str
    correction: Correction
    measured: date
    doubt: float = 0.0
    read: str = ""

    def __post_init__(self) -> None:
        safe_name(self.name)
        if not _PAPER.fullmatch(self.paper):
            raise ValueError(
                f'paper "{self.paper}" has no name; a correction is kept for letter, legal, tabloid, a4, a3'
            )

    def age(self, today: date) -> int:
        """Days since it was measured, negative where its day is still to come."""
        return (today - self.measured).days


def folder() -> Path:
    """Where profiles are kept for this user; it need not exist. Raises OSError where the user has no home folder."""
    from platformdirs import user_config_path

    try:
        return user_config_path("jiggen", appauthor=False) / "printers"
    except RuntimeError:
        raise FileNotFoundError(errno.ENOENT, "no home folder is known; set HOME", "~/.config") from None


def safe_name(name: str) -> str:
    """``name`` if it can name a printer. Raises ValueError, its text the reason, if not."""
    if not _NAME.fullmatch(name):
        raise ValueError(
            f'"{name}" cannot name a printer; use up to 24 of a to z, 0 to 9, - and _, a letter or figure first and last'
        )
    return name


def save(profile: Profile, where: Path | None = None) -> Path:
    """Keeps ``profile``, in place of an earlier one of that name and paper; returns its file.

    The file is whole or not there at all. ``where``: a folder instead of the user's. Raises OSError.
    """
    place = where or folder()
    place.mkdir(parents=True, exist_ok=True)
    target = place / _file(profile.name, profile.paper)
    handle, fresh = tempfile.mkstemp(prefix=".printer-", dir=place)
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as out:
            out.write(to_toml(profile))
            out.flush()
            os.fsync(out.fileno())
        os.replace(fresh, target)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(fresh)
        raise
    return target


def load(name: str, paper: str, where: Path | None = None) -> Profile:
    """The profile of that printer, in any case of letters, on that paper.

    Raises ValueError, its text the reason and the remedy, where there is none or its file is damaged;
    OSError where it cannot be read.
    """
    safe_name(name)
    known = _files(where or folder())
    path = known.get((name.casefold(), paper))
    if path is None:
        papers = [other for printer, other in known if printer == name.casefold()]
        printers = sorted({printer for printer, _ in known})
        if papers:
            kept = f'printer "{name}" is not kept for {paper}, only for {", ".join(papers)}'
        elif printers:
            kept = f'no printer "{name}" is kept; known are {", ".join(printers)}'
        else:
            kept = f'no printer "{name}" is kept, nor any other'
        raise ValueError(
            f"{kept}; print the page of  jiggen scale --paper {paper}  and tell  jiggen printer {name}  what it measures"
        )
    return _read(path)


def every(where: Path | None = None) -> tuple[list[Profile], list[Problem]]:
    """All profiles by name and paper, and a ``note`` for each file that is damaged. Raises OSError."""
    found, damaged = [], []
    for path in _files(where or folder()).values():
        try:
            found.append(_read(path))
        except ValueError as error:
            damaged.append(Problem("note", str(path), str(error), "remove that file, or measure the printer again"))
    return found, damaged


def remove(name: str, paper: str | None = None, where: Path | None = None) -> list[str]:
    """Forgets a printer on one paper, or on all (None); returns the papers that it was kept for.

    A damaged file goes too. Raises ValueError for a name that cannot be one, OSError.
    """
    safe_name(name)
    gone = []
    for (printer, kept), path in _files(where or folder()).items():
        if printer == name.casefold() and paper in (None, kept):
            path.unlink(missing_ok=True)
            gone.append(kept)
    return gone


def age_note(profile: Profile, today: date) -> Problem | None:
    """A ``note`` where the profile is over 90 days old, or from a day still to come; else None."""
    days = profile.age(today)
    where = f"printer {profile.name}"
    if days < 0:
        found = f"measured on {profile.measured.isoformat()}, which is still to come"
        return Problem("note", where, found, "check this machine's date, then measure the printer again")
    if days > OLD_DAYS:
        found = f"measured {days} days ago, on {profile.measured.isoformat()}"
        return Problem("note", where, found, f"over {OLD_DAYS} days: print the scale page and measure it again")
    return None


def to_toml(profile: Profile) -> str:
    """The profile as the text of its file. The same profile gives the same text."""
    made = profile.correction
    return (
        "# Factors are printed length over true length, the skew in radians.\n"
        f"name = {_quoted(profile.name)}\n"
        f"paper = {_quoted(profile.paper)}\n"
        f"across = {made.across!r}\n"
        f"along = {made.along!r}\n"
        f"skew = {made.skew!r}\n"
        f"doubt = {profile.doubt!r}\n"
        f"measured = {profile.measured.isoformat()}\n"
        f"read = {_quoted(profile.read)}\n"
    )


def from_toml(text: str) -> Profile:
    """The reverse of ``to_toml``. Raises ValueError, its text the reason, for anything else."""
    try:
        data = tomllib.loads(text)
        day, doubt = data["measured"], data["doubt"]
        if type(day) is not date or isinstance(doubt, bool) or not 0.0 <= float(doubt) < 1.0:
            raise ValueError("its day or its doubt has no sense")
        words = [data[key] for key in ("name", "paper", "read")]
        if not all(isinstance(word, str) for word in words):
            raise ValueError("its name, paper or reading is no text")
        return Profile(words[0], words[1], from_data(data), day, float(doubt), words[2])
    except (KeyError, TypeError, RecursionError) as error:
        raise ValueError(f"this file keeps no printer ({type(error).__name__}: {error})") from None
    except ValueError as error:
        raise ValueError(f"this file keeps no printer ({error})") from None


def _file(name: str, paper: str) -> str:
    return f"printer.{name.casefold()}.{paper}.toml"


def _files(place: Path) -> dict[tuple[str, str], Path]:
    """The files of profiles in a folder, by printer and paper, in that order; links and folders are none."""
    if not place.is_dir():
        return {}
    found = {}
    for path in sorted(place.iterdir()):
        matched = _FILE.fullmatch(path.name)
        if matched and path.is_file() and not path.is_symlink():
            found[matched[1], matched[2]] = path
    return found


def _read(path: Path) -> Profile:
    """A profile from its file, which must be called as what it keeps."""
    with path.open("rb") as file:
        data = file.read(_LARGEST + 1)
    if len(data) > _LARGEST:
        raise ValueError("this file keeps no printer (it is too large)")
    profile = from_toml(data.decode("utf-8", "replace"))
    if _file(profile.name, profile.paper) != path.name:
        raise ValueError(f"this file keeps another printer, {profile.name} on {profile.paper}")
    return profile


def _quoted(text: str) -> str:
    """A TOML basic string (TOML 1.0, String): quotes, backslashes and controls escaped."""
    plain = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(c if c.isprintable() else f"\\U{ord(c):08X}" for c in plain) + '"'
