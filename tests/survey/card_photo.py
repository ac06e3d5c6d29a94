"""Makes photos of a card on the board, with all that goes wrong in a real one.

Rays are cast from supersampled pixels: lens undone by the image library's own undistortion, the
card's raised face first, then the board with its markers; blur in linear light, lighting,
shadow, noise, sRGB, 8 bits, JPEG.
"""

import io
import math
from dataclasses import dataclass, field

import cv2
import numpy as np
from PIL import Image

from barwright.survey.template_board import BAND, CELLS, PITCH, SIDE, board

FINE = 0.05  # mm a cell of the card's raster


@dataclass(frozen=True, kw_only=True)
class Scene:
    board: str = "a3"
    outline: tuple = ()  # (n, 2) polygon
    holes: tuple = ()
    pen: tuple = ()  # straight pen lines: ((x, y), (x, y), width)
    thickness: float = 3.0
    card: float = 0.30
    size: tuple = (3000, 2250)
    focal35: float = 26.0
    eye: tuple = (150.0, 150.0, 560.0)
    aim: tuple = (150.0, 220.0)
    roll: float = 90.0
    k1: float = 0.0
    k2: float = 0.0
    off_centre: tuple = (0.0, 0.0)
    blur: float = 1.0
    noise: float = 2.0
    falloff: float = 0.25
    shadow: tuple = (0.0, 0.0)  # mm the card's shadow reaches
    shade: float = 0.6
    print_scale: float = 1.0
    seed: int = 0
    lies: dict = field(default_factory=dict)  # sheet -> (dx, dy, turn)
    jpeg: int = 92
    noted: bool = False  # whether the photo's notes tell its focal length


def _pose(s):
    eye, aim = np.array(s.eye, float), np.array([*s.aim, 0.0])
    forward = (aim - eye) / np.linalg.norm(aim - eye)
    a = math.radians(s.roll)
    right = np.array([math.cos(a), math.sin(a), 0.0])
    right -= (right @ forward) * forward
    right /= np.linalg.norm(right)
    return np.stack([right, np.cross(forward, right), forward]), eye


def intrinsics(s):
    w, h = s.size
    f = s.focal35 / math.hypot(36, 24) * math.hypot(w, h)
    return f, ((w - 1) / 2 + s.off_centre[0], (h - 1) / 2 + s.off_centre[1])


def to_pixels(s, xyz):
    """By the image library's own projection."""
    turn, eye = _pose(s)
    f, c = intrinsics(s)
    k = np.array([[f, 0, c[0]], [0, f, c[1]], [0, 0, 1.0]])
    p, _ = cv2.projectPoints(
        np.asarray(xyz, float).reshape(-1, 1, 3),
        cv2.Rodrigues(turn)[0],
        -turn @ eye,
        k,
        np.array([s.k1, s.k2, 0, 0]),
    )
    return p.reshape(-1, 2)


def _card(s):
    """Coverage of the card on a fine grid, and where the grid begins."""
    pts = np.array(s.outline, float)
    low = pts.min(0) - 5
    wide, high = np.ceil((pts.max(0) + 5 - low) / FINE).astype(int)
    mask = np.zeros((high, wide), np.uint8)
    ink = np.zeros((high, wide), np.uint8)

    def cells(p):
        return np.round(((np.array(p, float) - low) / FINE - 0.5) * 16).astype(np.int32)

    cv2.fillPoly(mask, [cells(pts)], 255, cv2.LINE_AA, 4)
    for hole in s.holes:
        cv2.fillPoly(mask, [cells(hole)], 0, cv2.LINE_AA, 4)
    for a, b, width in s.pen:
        d = np.array(b, float) - a
        n = np.array([-d[1], d[0]]) / np.linalg.norm(d) * width / 2
        quad = [np.add(a, n), np.add(b, n), np.subtract(b, n), np.subtract(a, n)]
        cv2.fillPoly(ink, [cells(quad)], 255, cv2.LINE_AA, 4)
    return mask, ink, low


def _look(raster, low, x, y):
    u = ((x - low[0]) / FINE - 0.5).astype(np.float32)
    v = ((y - low[1]) / FINE - 0.5).astype(np.float32)
    return cv2.remap(raster, u, v, cv2.INTER_LINEAR, borderValue=0).astype(np.float32) / 255


def _cells():
    d = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_1000)
    return np.stack([cv2.aruco.generateImageMarker(d, i, 7) > 0 for i in range(1000)])


CODES = _cells()


def _paper(s, x, y):
    """1 white, 0 ink, 0.25 the table, at points of the board."""
    b = board(s.board)
    out = np.full(x.shape, 0.25 / 0.85, np.float32)
    wide, high = b.size
    for sheet in range(b.sheets):
        hx, hy = b.sheet_at(sheet)
        dx, dy, turn = s.lies.get(sheet, (0, 0, 0))
        c, sn = math.cos(turn), math.sin(turn)
        px, py = x - (hx * s.print_scale + dx), y - (hy * s.print_scale + dy)
        lx, ly = (c * px + sn * py) / s.print_scale, (-sn * px + c * py) / s.print_scale
        foot = 0 if sheet < b.across else BAND
        on = (lx >= 0) & (ly >= foot) & (lx < wide) & (ly < high)
        out[on] = 1.0
        columns, rows = b.grid
        gx, gy = lx - b.corners[0, 0, 0], b.corners[0, 0, 1] - ly
        col, row = np.floor(gx / PITCH).astype(int), np.floor(gy / PITCH).astype(int)
        i = np.floor((gx - col * PITCH) / SIDE * CELLS).astype(int)
        j = np.floor((gy - row * PITCH) / SIDE * CELLS).astype(int)
        ok = on & (col >= 0) & (row >= 0) & (col < columns) & (row < rows) & (i < 7) & (j < 7)
        number = np.clip(sheet * b.per_sheet + row * columns + col, 0, 999)
        white = CODES[number, np.clip(j, 0, 6), np.clip(i, 0, 6)]
        out[ok] = white[ok]
    return out


def light(s, over=2):
    """Linear light of the scene, shape (h, w)."""
    w, h = s.size
    turn, eye = _pose(s)
    f, c = intrinsics(s)
    k = np.array([[f, 0, c[0]], [0, f, c[1]], [0, 0, 1.0]])
    mask, ink, low = _card(s)
    total = np.zeros((h, w), np.float32)
    gx, gy = np.meshgrid(np.arange(w, dtype=float), np.arange(h, dtype=float))
    flat = _undistorted(np.stack([gx, gy], -1).reshape(-1, 1, 2), k, s).reshape(h, w, 2)
    down, right = np.gradient(flat, axis=(0, 1))
    for oy in (np.arange(over) + 0.5) / over - 0.5:
        for ox in (np.arange(over) + 0.5) / over - 0.5:
            here = (flat + ox * right + oy * down).reshape(-1, 2)
            ray = np.concatenate([here, np.ones((w * h, 1))], 1) @ turn
            total += _shaded(s, ray, eye, mask, ink, low).reshape(h, w)
    return total / over**2


def _undistorted(p, k, s):
    term = (cv2.TERM_CRITERIA_COUNT | cv2.TERM_CRITERIA_EPS, 40, 1e-9)
    return cv2.undistortPoints(p, k, np.array([s.k1, s.k2, 0, 0]), criteria=term)


def _shaded(s, ray, eye, mask, ink, low):  # noqa: PLR0917 - one call
    def hit(z):
        t = (z - eye[2]) / ray[:, 2]
        return (eye[0] + t * ray[:, 0]).reshape(1, -1), (eye[1] + t * ray[:, 1]).reshape(1, -1)

    n = 30000
    x, y = (v.ravel() for v in hit(0.0))
    pad = -len(x) % n
    grid = lambda v: np.pad(v.ravel(), (0, pad)).reshape(-1, n)  # noqa: E731
    ground = 0.85 * _paper(s, x, y)
    if any(s.shadow):
        dark = _look(mask, low, grid(x - s.shadow[0]), grid(y - s.shadow[1])).ravel()[: len(x)]
        ground = ground * (1 - (1 - s.shade) * dark)
    tx, ty = hit(s.thickness)
    cover = _look(mask, low, grid(tx), grid(ty)).ravel()[: len(x)]
    pen = _look(ink, low, grid(tx), grid(ty)).ravel()[: len(x)]
    face = s.card * (1 - pen) + 0.05 * pen
    ground = np.maximum(ground, 0.04)
    value = face * cover + ground * (1 - cover)
    # Light falls off across the table.
    return value * (1 - s.falloff * (0.5 + 0.5 * np.tanh((x - 150) / 250)))


def photo(s):
    """The photo as JPEG bytes."""
    v = light(s)
    v = cv2.GaussianBlur(v, (0, 0), s.blur) if s.blur else v
    e = np.where(v <= 0.0031308, v * 12.92, 1.055 * np.maximum(v, 1e-9) ** (1 / 2.4) - 0.055) * 255
    e = e + np.random.default_rng(s.seed).normal(0, s.noise, e.shape)
    out, notes = io.BytesIO(), Image.Exif()
    if s.noted:
        notes.get_ifd(0x8769)[0xA405] = round(s.focal35)
    picture = Image.fromarray(np.clip(np.round(e), 0, 255).astype(np.uint8))
    picture.save(out, "JPEG", quality=s.jpeg, exif=notes)
    return out.getvalue()
