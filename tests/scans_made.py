"""A page of a PDF turned into the image that a flatbed scanner makes of its print, by pdfium, scipy and Pillow."""

from __future__ import annotations

from dataclasses import dataclass
from io import BytesIO
from math import cos, radians, sin

import numpy as np
import pypdfium2
from numpy.typing import NDArray
from PIL import Image
from scipy.ndimage import affine_transform, gaussian_filter

Array = NDArray[np.float32]


@dataclass(frozen=True)
class Printer:
    """What a printer and the hand that lays the paper on the glass do to a page: factors, degrees."""

    across: float = 1.007
    along: float = 0.996
    skew: float = 0.3
    turn: float = 0.0

    @property
    def matrix(self) -> Array:
        """Page to glass, y up: the lower edge becomes (across, 0), the left edge ``along`` long and leaning to the right
        by ``skew``; then all turned counter-clockwise."""
        lean, turn = radians(self.skew), radians(self.turn)
        print_ = np.array([[self.across, self.along * sin(lean)], [0.0, self.along * cos(lean)]])
        return np.array([[cos(turn), -sin(turn)], [sin(turn), cos(turn)]]) @ print_


@dataclass(frozen=True)
class Scanner:
    """``blur``: pixels; ``noise``: grey levels; ``paper``, ``ink``: grey of both; ``quality``: of the JPEG, 0 for PNG."""

    dpi: int = 300
    blur: float = 0.9
    noise: float = 8.0
    paper: float = 240.0
    ink: float = 35.0
    quality: int = 75
    glass: float = 12.0  # mm of lid round the page
    told: bool = True  # whether the file tells the dpi


def glass(data: bytes, index: int, printer: Printer, scanner: Scanner) -> Array:
    """Grey values of the whole glass, rows from the top."""
    page = pypdfium2.PdfDocument(data)[index]
    fine = 1.5 * scanner.dpi
    image = page.render(scale=(fine - 1e-6) / 72.0, grayscale=True)  # pdfium rounds up to whole pixels
    black = 1.0 - image.to_numpy().reshape(image.height, image.width).astype(np.float32) / np.float32(255.0)
    width, height = page.get_width() / 72.0 * 25.4, page.get_height() / 72.0 * 25.4
    pixel_x, pixel_y = width / image.width, height / image.height
    black = gaussian_filter(black, 0.6)  # so that fewer pixels lose nothing
    corners = np.array([(x, y) for x in (0.0, width) for y in (0.0, height)]) @ printer.matrix.T
    low, high = corners.min(axis=0) - scanner.glass, corners.max(axis=0) + scanner.glass
    step = 25.4 / scanner.dpi
    columns, rows = (int(side) for side in np.ceil((high - low) / step))
    # pixel (row, column) of the scan -> glass mm -> page mm -> pixel of the page
    back = np.linalg.inv(printer.matrix)
    to_glass = np.array([[0.0, step], [-step, 0.0]])
    start = np.array([low[0] + 0.5 * step, low[1] + (rows - 0.5) * step])
    to_pixel = np.array([[0.0, -1.0 / pixel_y], [1.0 / pixel_x, 0.0]])
    matrix = to_pixel @ back @ to_glass
    shift = to_pixel @ (back @ start) + np.array([height / pixel_y - 0.5, -0.5])
    return np.asarray(affine_transform(black, matrix, shift, (rows, columns), order=1))


def scan(
    data: bytes, index: int = 0, printer: Printer | None = None, scanner: Scanner | None = None, seed: int = 1
) -> bytes:
    """A page printed and scanned: a JPEG, or a PNG where no quality is given, that tells its dpi."""
    scanner = scanner or Scanner()
    return written(glass(data, index, printer or Printer(), scanner), scanner, seed)


def written(black: Array, scanner: Scanner, seed: int = 1) -> bytes:
    """Ink on the glass, 0 to 1, as the file that the scanner writes."""
    soft = gaussian_filter(black, scanner.blur)
    noise = np.random.default_rng(seed).standard_normal(soft.shape, np.float32) * np.float32(scanner.noise)
    grey = np.clip(scanner.paper + (scanner.ink - scanner.paper) * soft + noise, 0, 255).astype(np.uint8)
    return encoded(grey, scanner)


def encoded(grey: NDArray[np.uint8], scanner: Scanner) -> bytes:
    out = BytesIO()
    more = {"dpi": (scanner.dpi, scanner.dpi)} if scanner.told else {}
    if scanner.quality:
        Image.fromarray(grey).save(out, "JPEG", quality=scanner.quality, **more)
    else:
        Image.fromarray(grey).save(out, "PNG", **more)
    return out.getvalue()
