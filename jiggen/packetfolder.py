"""A packet's files, one after another, turned into its folder on the disk: the whole of it, or nothing of it.

They are written into a folder beside it, which then takes its place in one step. What a process that was ended
half-way left there is cleaned up by the next one; a folder that is still in use is known by its lock.
"""

from __future__ import annotations

import contextlib
import errno
import os
import re
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

try:
    import fcntl
except ImportError:  # Windows: nothing is locked, and so nothing is cleaned up
    fcntl = None  # type: ignore[assignment]

PACKET_FILE = re.compile(
    r"packet\.pdf|drill-list\.csv|cut-list\.csv|hardware\.csv|plan\.json|job\.toml|preview\.png"
    r"|sheets/S\d+\.(svg|pdf)|jigs/[A-Za-z0-9-]+\.(svg|dxf)"
)
NAME = 60  # characters of a folder's name in the name of the one beside it: 4 bytes each still fit in 255
TURNS = 100  # other processes that may come first
HERE = -100  # AT_FDCWD of Linux: a path counts from the working folder
EXCHANGE = 2  # RENAME_EXCHANGE of Linux's renameat2(2)


class Fresh:
    """A packet's files on their way into a folder beside its own, which is made when the first of them comes."""

    def __init__(self, folder: Path) -> None:
        self.folder = Path(os.path.realpath(folder))
        self._above = [above for above in self.folder.parents if not above.exists()]
        self._place: Path | None = None
        self._lock: int | None = None
        self._open = contextlib.ExitStack()

    def put(self, name: str, data: bytes) -> None:
        """A whole file; ``name`` has "/" for folders."""
        self._path(name).write_bytes(data)

    def begin(self, name: str) -> BinaryIO:
        """A new file to be written piece by piece, and to be read back."""
        return self._open.enter_context(open(self._path(name), "w+b"))

    def finish(self) -> None:
        """The whole in its place; what was there gives way at once."""
        place = self._begun()
        self._open.close()
        os.chmod(place, 0o755)
        _put(place, self.folder)
        self._above.clear()

    def clear(self) -> None:
        """Away with what is not in its place: half a packet, or the earlier one by now."""
        with contextlib.suppress(OSError):  # what could not be written when it was closed
            self._open.close()
        if self._place is not None:
            shutil.rmtree(self._place, ignore_errors=True)
            _let_go(self._lock)
        with contextlib.suppress(OSError):
            for above in self._above:
                above.rmdir()

    def _begun(self) -> Path:
        if self._place is None:
            self.folder.parent.mkdir(parents=True, exist_ok=True)
            clean_up(self.folder)
            self._place, self._lock = _begun(self.folder, "new")
        return self._place

    def _path(self, name: str) -> Path:
        path = self._begun() / name
        path.parent.mkdir(parents=True, exist_ok=True)
        return path


@contextlib.contextmanager
def fresh_packet(folder: Path) -> Iterator[Fresh]:
    """Where the files of a packet go as they are made: a folder beside ``folder`` that takes its place at the end.

    An earlier packet stays until then and gives way at once; where anything is raised before, it is untouched and
    what was written is taken away. Raises OSError where it cannot be done.
    """
    fresh = Fresh(folder)
    try:
        yield fresh
        fresh.finish()
    finally:
        fresh.clear()


def others(folder: Path) -> Iterator[str]:
    """What in a folder is no file of a packet: anything of another name or place, links, folders for files."""
    for path in folder.rglob("*"):
        name = path.relative_to(folder).as_posix()
        fine = name in ("sheets", "jigs") if path.is_dir() else PACKET_FILE.fullmatch(name) is not None
        if path.is_symlink() or not fine:
            yield name


def foreign(folder: Path) -> list[str]:
    """What in a folder is not an earlier packet's: other things, or all of it where it has no packet and no plan, as a
    folder that somebody keeps a job.toml in."""
    strange = list(others(folder))
    if strange or any((folder / name).exists() for name in ("packet.pdf", "plan.json")):
        return strange
    return [path.name for path in folder.iterdir()]


def clean_up(folder: Path) -> None:
    """Take away what an ended process left beside ``folder``; put an earlier packet back that it had moved aside."""
    for kind in ("old", "new"):
        for path in _beside(folder, kind):
            with contextlib.suppress(OSError):
                lock = _lock(path)
                if lock is None:
                    continue
                try:
                    _clean(path, folder, kind == "old")
                finally:
                    os.close(lock)


def _clean(path: Path, folder: Path, old: bool) -> None:
    """One folder that was left: what is no packet of ours stays."""
    packet = path / folder.name if old else path
    if old and packet.is_dir() and not os.path.lexists(folder):
        os.rename(packet, folder)
    if not any(others(packet)) and not (old and {entry.name for entry in path.iterdir()} - {folder.name}):
        shutil.rmtree(path, ignore_errors=True)


def _prefix(folder: Path, kind: str) -> str:
    return f".{folder.name[:NAME]}-{kind}-"


def _beside(folder: Path, kind: str) -> list[Path]:
    """Folders with the name of one that this module makes beside ``folder``."""
    start = _prefix(folder, kind)
    with os.scandir(folder.parent) as entries:
        return [
            Path(entry.path)
            for entry in sorted(entries, key=lambda entry: entry.name)
            if entry.name.startswith(start)
            and re.fullmatch("[a-z0-9_]{8}", entry.name.removeprefix(start))
            and entry.is_dir(follow_symlinks=False)
        ]


def _begun(folder: Path, kind: str) -> tuple[Path, int | None]:
    """A new folder beside ``folder`` and its lock; None where folders cannot be locked."""
    import tempfile  # loaded where something is written: it brings much with it

    for _ in range(TURNS):
        path = Path(tempfile.mkdtemp(prefix=_prefix(folder, kind), dir=folder.parent))
        with contextlib.suppress(BlockingIOError):  # another process was quick to clean it up
            return path, _lock(path)
    raise OSError(errno.EBUSY, os.strerror(errno.EBUSY))


def _lock(path: Path) -> int | None:
    """A lock on a folder, None where folders cannot be locked. Raises BlockingIOError where it is taken or gone."""
    if fcntl is None:
        return None
    try:
        lock = os.open(path, os.O_RDONLY)
    except FileNotFoundError:
        raise BlockingIOError from None
    try:
        fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        if os.path.lexists(path) and os.path.samestat(os.fstat(lock), os.stat(path)):
            return lock
    except BlockingIOError:
        os.close(lock)
        raise
    except OSError:
        os.close(lock)
        return None
    os.close(lock)
    raise BlockingIOError


def _let_go(lock: int | None) -> None:
    if lock is not None:
        os.close(lock)


def _put(fresh: Path, folder: Path) -> None:
    """``fresh`` in the place of ``folder``; what was there lies at ``fresh`` afterwards or is gone."""
    for _ in range(TURNS):
        if os.path.lexists(folder):
            if _exchanged(fresh, folder) or _by_turns(fresh, folder):
                return
            continue
        try:
            os.rename(fresh, folder)
            return
        except OSError as error:
            if error.errno not in (errno.ENOTEMPTY, errno.EEXIST):
                raise
    raise OSError(errno.EBUSY, os.strerror(errno.EBUSY))


def _exchanged(one: Path, other: Path) -> bool:
    """Whether two folders have taken each other's name in one step, as Linux can."""
    import ctypes

    try:
        call = ctypes.CDLL(None, use_errno=True).renameat2
    except (OSError, AttributeError, TypeError):
        return False
    return bool(call(HERE, os.fsencode(one), HERE, os.fsencode(other), EXCHANGE) == 0)


def _by_turns(fresh: Path, folder: Path) -> bool:
    """The same in two steps, for other systems: whether it was done, False where another process came first."""
    old, lock = _begun(folder, "old")
    try:
        try:
            os.rename(folder, old / folder.name)
        except FileNotFoundError:
            return False
        try:
            os.rename(fresh, folder)
        except OSError as error:
            if error.errno in (errno.ENOTEMPTY, errno.EEXIST):
                return False
            os.rename(old / folder.name, folder)
            raise
        return True
    finally:
        shutil.rmtree(old, ignore_errors=True)
        _let_go(lock)
