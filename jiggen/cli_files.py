"""The files that commands read and write: read up to a size, written whole or left as they were."""

from __future__ import annotations

import contextlib
import os
import secrets
import shutil
from pathlib import Path

MB = 1024 * 1024
NAME = 60  # characters of a file's name in the name of the one beside it


class TooLargeError(OSError):
    """Raised for a file over the size that is read; its ``strerror`` says so."""


def read_at_most(path: Path, most: int) -> bytes:
    """The bytes of a file, or of a pipe or device, of which no more than ``most`` are read. Raises OSError."""
    with path.open("rb") as file:
        data = file.read(most + 1)
    if len(data) > most:
        raise TooLargeError(0, f"over {most // MB} MB", str(path))
    return data


def write_whole(path: Path, data: bytes) -> None:
    """Write a file; one that is there already stays as it was unless all of it could be written. Raises OSError."""
    target = Path(os.path.realpath(path))
    if os.path.lexists(target) and not target.is_file():  # a pipe or a device has no earlier bytes
        target.write_bytes(data)
        return
    fresh = target.with_name(f".{target.name[:NAME]}-{secrets.token_hex(4)}")
    try:
        with fresh.open("xb") as file:
            file.write(data)
        if target.exists():
            shutil.copymode(target, fresh)
        os.replace(fresh, target)
    except BaseException:
        with contextlib.suppress(OSError):
            fresh.unlink()
        raise
