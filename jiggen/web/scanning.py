"""A scan of a printed page turned into what the printer did to it, where the extra that reads scans is installed."""

from __future__ import annotations

from importlib.util import find_spec
from typing import Any

from jiggen.problems import JobError, Problem
from jiggen.web.places import every

NEEDED = ("cv2", "numpy")
DPI = (50.0, 5000.0)


def available() -> bool:
    """Whether this installation reads scans."""
    return all(find_spec(name) is not None for name in NEEDED)


def check(scan: bytes, packet: bytes = b"", dpi: object = None) -> dict[str, Any]:
    """What a scan says, in lines of words, with its problems. ``packet``: the PDF that the page is from, for its marks.

    Raises JobError where the scan cannot be used, or scans are not read here.
    """
    if not available():
        raise _refusal("this installation does not read scans", 'pip install "jiggen[scan]"')
    from jiggen.scan.check import check as checked
    from jiggen.scan.packet import known
    from jiggen.scan.picture import ScanError

    told = float(dpi) if isinstance(dpi, int | float) and DPI[0] <= dpi <= DPI[1] else None
    try:
        found = checked("the scan", scan, told, known(packet) if packet else None)
    except ScanError as error:
        raise _refusal(error.found, error.remedy.replace("--dpi 300", "300 in the field above")) from None
    return {"words": found.lines(), "problems": every(found.problems, None)}


def _refusal(found: str, remedy: str) -> JobError:
    return JobError([Problem("stop", "the scan", found, remedy)])
