"""What is in the photo: its size before it is opened, its grey values, the markers seen.

The only module that knows the image library. Grey values come back in linear light, pixels are
counted so that the first pixel's centre is 0, 0.
"""

from __future__ import annotations

import io
import math
import warnings
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from barwright.geometry.vectors import Floats
from barwright.job.errors import BadInput, Fault

MOST_PIXELS = 64_000_000
"""Photos above this are refused before they are opened."""

MOST_BYTES = 100_000_000
LEAST_SIDE = 600

PAPER = 0.85
"""Linear light that the brightest fiftieth of a photo is brought to."""

_FULL_FRAME_DIAGONAL = math.hypot(36.0, 24.0)
"""EXIF 2.3 FocalLengthIn35mmFilm refers to a 36 × 24 mm frame [mm] (from memory)."""

_EXIF_IFD, _FOCAL_35 = 0x8769, 0xA405


@dataclass(frozen=True, kw_only=True, eq=False)
class Photo:
    """A photo opened.

    Attributes:
        encoded: shape (h, w) uint8, as stored, upright as the camera meant it.
        light: shape (h, w) float32 in 0..1, linear light, paper about 0.85, read-only.
        focal: focal length from what the camera noted [px]; None where it noted nothing.
    """

    encoded: NDArray[np.uint8]
    light: NDArray[np.float32]
    focal: float | None

    @property
    def size(self) -> tuple[int, int]:
        """Width and height [px]."""
        return self.encoded.shape[1], self.encoded.shape[0]


def library() -> Any:  # noqa: ANN401 - the image library's module, untyped
    """The image library.

    Raises:
        BadInput: it is not installed.
    """
    try:
        import cv2
    except ImportError:
        do = "in Barwright's folder: pip install '.[photo]'"
        fault = Fault(file="photo", entry="", expected="the image library OpenCV", do=do)
        raise BadInput(fault) from None
    return cv2


def opened(data: bytes, name: str) -> Photo:
    """A photo's bytes as grey values.

    Args:
        data: a JPEG, PNG, TIFF, BMP or WebP file.
        name: what to call it in messages.

    Raises:
        BadInput: not an image, damaged, far too large or far too small.
    """
    focal = _checked_header(data, name)
    cv2 = library()
    try:
        grey = cv2.imdecode(np.frombuffer(data, dtype=np.uint8), cv2.IMREAD_GRAYSCALE)
    except cv2.error:
        grey = None
    if grey is None:
        raise BadInput(_fault(name, "a damaged image", "a whole photo", "copy it over once more"))
    grey = np.asarray(grey, dtype=np.uint8)
    light = _LINEAR[grey]
    # A dim photo is as good as a bright one: the brightest things count as paper.
    light *= PAPER / max(float(np.quantile(light[::4, ::4], 0.98)), 0.02)
    light.setflags(write=False)
    return Photo(encoded=grey, light=light, focal=focal)


def _checked_header(data: bytes, name: str) -> float | None:
    """Reads size and focal length from the header alone; returns the focal length [px]."""
    from PIL import Image, UnidentifiedImageError

    if len(data) > MOST_BYTES:
        most = f"at most {MOST_BYTES // 1_000_000} MB"
        raise BadInput(_fault(name, f"{len(data)} bytes", most, "take it again at 12 megapixels"))
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            image = Image.open(io.BytesIO(data))
            (wide, high), seen = image.size, image.format
    except Image.DecompressionBombError:
        wide, high, seen = 10**6, 10**6, ""
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError):
        read = "no image that is known" if data else "an empty file"
        do = (
            "save the photo as JPEG or PNG; a phone's HEIC photos have to be turned into JPEG first"
        )
        raise BadInput(_fault(name, read, "a JPEG or PNG photo", do)) from None
    if wide * high > MOST_PIXELS:
        most = f"at most {MOST_PIXELS // 1_000_000} megapixels"
        read = f"{wide} × {high} px" if seen else "a picture of hundreds of megapixels"
        raise BadInput(_fault(name, read, most, "take it again at 12 megapixels"))
    if min(wide, high) < LEAST_SIDE:
        least = f"at least {LEAST_SIDE} px each way, better 3000"
        do = "send the photo in its full size, not the preview a messenger made"
        raise BadInput(_fault(name, f"{wide} × {high} px", least, do))
    return _noted_focal(image, math.hypot(wide, high))


def _noted_focal(image: Any, diagonal: float) -> float | None:  # noqa: ANN401 - a PIL image
    try:
        length = float(image.getexif().get_ifd(_EXIF_IFD).get(_FOCAL_35, 0))
    except Exception:  # noqa: BLE001 - whatever the notes hold, the photo itself may be fine
        return None
    return length / _FULL_FRAME_DIAGONAL * diagonal if 8.0 <= length <= 400.0 else None


def _fault(name: str, read: str, expected: str, do: str) -> Fault:
    return Fault(file=name, entry="photo", read=read, expected=expected, do=do)


def _srgb_table() -> NDArray[np.float32]:
    """IEC 61966-2-1 (sRGB) decoding (from memory)."""
    v = np.arange(256) / 255.0
    return np.where(v <= 0.04045, v / 12.92, ((v + 0.055) / 1.055) ** 2.4).astype(np.float32)


_LINEAR = _srgb_table()


def _dictionary() -> Any:  # noqa: ANN401 - untyped
    cv2 = library()
    return cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_1000)


def marker_cells(number: int) -> tuple[tuple[bool, ...], ...]:
    """Which of a marker's 7×7 cells are black, from its top row down.

    Raises:
        BadInput: the image library is not installed.
    """
    picture = library().aruco.generateImageMarker(_dictionary(), number, 7)
    return tuple(tuple(bool(v == 0) for v in row) for row in picture)


def markers(photo: Photo) -> tuple[NDArray[np.int64], Floats]:
    """The markers seen: their numbers (n,) and rough corners (n, 4, 2) [px]."""
    cv2 = library()
    settings = cv2.aruco.DetectorParameters()
    settings.minMarkerPerimeterRate = 0.01
    settings.adaptiveThreshWinSizeMax = 43
    settings.adaptiveThreshWinSizeStep = 20
    found, numbers, _ = cv2.aruco.ArucoDetector(_dictionary(), settings).detectMarkers(
        photo.encoded
    )
    if numbers is None:
        return np.zeros(0, dtype=np.int64), np.zeros((0, 4, 2))
    order = np.argsort(numbers.ravel(), kind="stable")
    corners = np.asarray(found, dtype=float).reshape(-1, 4, 2)
    return np.asarray(numbers.ravel()[order], dtype=np.int64), corners[order]


def rough_homography(plane: Floats, pixels: Floats, within: float) -> tuple[Floats, NDArray[Any]]:
    """A homography by consensus, and which pairs agree with it within so many pixels."""
    h, good = library().findHomography(plane, pixels, library().RANSAC, within, maxIters=4000)
    if h is None:
        return np.zeros((3, 3)), np.zeros(len(plane), dtype=bool)
    return np.asarray(h, dtype=float), good.ravel().astype(bool)


def rims(mask: NDArray[np.bool_]) -> tuple[Floats, ...]:
    """The outer rims of a mask's pieces, as pixel centres along them, each (n, 2)."""
    cv2 = library()
    found, _ = cv2.findContours(mask.astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    return tuple(np.asarray(c, dtype=float).reshape(-1, 2) for c in found)


def sharpness(photo: Photo) -> float:
    """A rough width of the sharpest edges there are, along the worse direction [px].

    Contrast over the steepest slope, as of a step blurred by a bell curve.
    """
    v = photo.light
    low, high = np.quantile(v[::4, ::4], [0.02, 0.98])
    steep = [float(np.quantile(np.abs(np.diff(v, axis=k)), 0.9995)) for k in (0, 1)]
    return float((high - low) / max(min(steep), 1e-6) / math.sqrt(2.0 * math.pi))
