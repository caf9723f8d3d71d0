"""The bytes of an image file turned into grey pixels and the dots per inch that the file tells."""

from __future__ import annotations

import struct
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from jiggen.units import MM_PER_INCH

LEAST_DPI, MOST_DPI = 150.0, 2400.0
Grey = NDArray[np.uint8]


class ScanError(ValueError):
    """A scan that cannot be used: ``found`` and ``remedy``, a clause each."""

    def __init__(self, found: str, remedy: str) -> None:
        self.found, self.remedy = found, remedy
        super().__init__(f"{found}; {remedy}")


@dataclass(frozen=True)
class Picture:
    """Grey pixels, rows from the top, 0 black; ``dpi``: what was told or stands in the file."""

    grey: Grey
    dpi: float

    @property
    def per_mm(self) -> float:
        """Pixels per millimetre."""
        return self.dpi / MM_PER_INCH


def picture(data: bytes, dpi: float | None = None) -> Picture:
    """An image (PNG, JPEG, TIFF, BMP) as grey pixels. ``dpi`` None: as the file tells.

    Raises ScanError for what is no image, for no dpi, and for less than 150 or more than 2400 dpi.
    """
    if data[:1024].lstrip().startswith(b"%PDF"):
        raise ScanError("a PDF, no image", "let the scanner write PNG, TIFF or JPEG")
    grey = _decoded(data)
    if grey is None or grey.size == 0:
        raise ScanError("no image that can be read", "give a whole PNG, JPEG or TIFF file")
    found = dpi if dpi is not None else told_dpi(data)
    if found is None:
        raise ScanError("the file does not tell its dots per inch", "say what the scanner was set to: --dpi 300")
    if not LEAST_DPI <= found <= MOST_DPI:
        raise ScanError(
            f"{found:g} dpi", f"scan at 300 dpi, {LEAST_DPI:g} to {MOST_DPI:g} can be measured, and say so with --dpi"
        )
    return Picture(grey, found)


def _decoded(data: bytes) -> Grey | None:
    """Pixels as they lie in the file: a turn that its header asks for is left out. Paper that lets through is white."""
    if not data:
        return None
    try:
        image = cv2.imdecode(np.frombuffer(data, np.uint8), cv2.IMREAD_UNCHANGED)
    except cv2.error:
        return None
    if image is None or image.ndim not in (2, 3):
        return None
    if image.dtype == np.uint16:
        image = (image // 256).astype(np.uint8)
    if image.dtype != np.uint8:
        return None
    if image.ndim == 2:
        return np.ascontiguousarray(image)
    if image.shape[2] == 4:
        clear = image[:, :, 3:].astype(np.float32) / 255.0
        image = (image[:, :, :3] * clear + 255.0 * (1.0 - clear)).astype(np.uint8)
    if image.shape[2] == 3:
        return np.asarray(cv2.cvtColor(image, cv2.COLOR_BGR2GRAY), np.uint8)
    return np.ascontiguousarray(image[:, :, 0])


def told_dpi(data: bytes) -> float | None:
    """Dots per inch that an image file tells, None where it tells none or not the same both ways."""
    if data.startswith(b"\x89PNG\r\n\x1a\n"):
        pair = _png(data)
    elif data.startswith(b"\xff\xd8"):
        pair = _jpeg(data)
    elif data[:4] in (b"II*\0", b"MM\0*"):
        pair = _tiff(data)
    else:
        pair = None
    if pair is None or min(pair) <= 0.0 or abs(pair[0] - pair[1]) > 0.001 * pair[0]:
        return None
    return round(pair[0], 2)


def _png(data: bytes) -> tuple[float, float] | None:
    """The chunk pHYs in dots per metre (PNG specification, 11.3.4.3)."""
    place = 8
    while place + 8 <= len(data):
        size, name = struct.unpack(">I4s", data[place : place + 8])
        if name == b"pHYs" and size == 9 and place + 17 <= len(data):
            x, y, unit = struct.unpack(">IIB", data[place + 8 : place + 17])
            return (x * MM_PER_INCH / 1000.0, y * MM_PER_INCH / 1000.0) if unit == 1 else None
        if name in (b"IDAT", b"IEND"):
            return None
        place += 12 + size
    return None


def _jpeg(data: bytes) -> tuple[float, float] | None:
    """The density in the JFIF header (ISO/IEC 10918-5, 10.1); without one, or without a unit, None."""
    place = 2
    while place + 18 <= len(data) and data[place] == 0xFF:
        mark, size = data[place + 1], int.from_bytes(data[place + 2 : place + 4], "big")
        if mark == 0xE0 and data[place + 4 : place + 9] == b"JFIF\0":
            unit, x, y = struct.unpack(">BHH", data[place + 11 : place + 16])
            factor = {1: 1.0, 2: MM_PER_INCH / 10.0}.get(unit)
            return (x * factor, y * factor) if factor else None
        if mark == 0xDA or size < 2:
            return None
        place += 2 + size
    return None


def _tiff(data: bytes) -> tuple[float, float] | None:
    """XResolution, YResolution and ResolutionUnit of the first image (TIFF 6.0, pages 38 and 41)."""
    order = "<" if data[:2] == b"II" else ">"
    try:
        (start,) = struct.unpack_from(order + "I", data, 4)
        (count,) = struct.unpack_from(order + "H", data, start)
        found: dict[int, float] = {296: 2.0}
        for entry in range(min(count, 200)):
            tag, kind, _, value = struct.unpack_from(order + "HHII", data, start + 2 + 12 * entry)
            if tag in (282, 283) and kind == 5:
                above, below = struct.unpack_from(order + "II", data, value)
                found[tag] = above / below if below else 0.0
            elif tag == 296:
                (unit,) = struct.unpack_from(order + "H", data, start + 2 + 12 * entry + 8)
                found[tag] = float(unit)
    except struct.error:
        return None
    factor = {2.0: 1.0, 3.0: MM_PER_INCH / 10.0}.get(found[296])
    if factor is None or 282 not in found or 283 not in found:
        return None
    return found[282] * factor, found[283] * factor
