"""From the board to the photo and back: a pinhole camera with radial distortion.

Pixels are counted so that the first pixel's centre is 0, 0; the model is the common one of
camera calibration (Brown, 1966; Zhang, 2000, from memory): x' = X/Z, r² = x'² + y'²,
x'' = x' (1 + k1 r² + k2 r⁴), u = f x'' + cx.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from barwright.geometry.vectors import Floats, rotation


@dataclass(frozen=True, kw_only=True, eq=False)
class Camera:
    """A camera over a board.

    Attributes:
        focal: focal length [px].
        centre: where the line of sight meets the photo [px].
        k1, k2: radial distortion.
        turn: shape (3, 3), board axes to camera axes.
        shift: shape (3,), the board's origin in camera axes [mm].
    """

    focal: float
    centre: tuple[float, float]
    k1: float
    k2: float
    turn: Floats
    shift: Floats

    @property
    def eye(self) -> Floats:
        """Where the camera is in the board's frame [mm]; z is its height."""
        return np.asarray(-self.turn.T @ self.shift)

    @property
    def tilt(self) -> float:
        """Between the line of sight and the board's own normal [rad]."""
        return math.acos(min(1.0, abs(float(self.turn[2, 2]))))


def project(camera: Camera, xyz: ArrayLike) -> Floats:
    """Where points of the board's frame appear.

    Args:
        camera: the camera.
        xyz: shape (..., 3) [mm].

    Returns:
        shape (..., 2) [px].
    """
    seen = np.asarray(xyz, dtype=float) @ camera.turn.T + camera.shift
    flat = seen[..., :2] / seen[..., 2:]
    r2 = np.sum(flat * flat, axis=-1, keepdims=True)
    bent = flat * (1.0 + r2 * (camera.k1 + r2 * camera.k2))
    return np.asarray(camera.focal * bent + np.array(camera.centre))


def unproject(camera: Camera, pixels: ArrayLike, height: float = 0.0) -> Floats:
    """Which points at a height above the board appear at pixels.

    Args:
        camera: the camera.
        pixels: shape (..., 2) [px].
        height: of the plane above the board [mm].

    Returns:
        x, y in the board's frame, shape (..., 2) [mm].
    """
    bent = (np.asarray(pixels, dtype=float) - np.array(camera.centre)) / camera.focal
    flat = bent * _straightened(np.sqrt(np.sum(bent * bent, axis=-1)), camera)[..., None]
    ray = np.concatenate([flat, np.ones_like(flat[..., :1])], axis=-1) @ camera.turn
    eye = camera.eye
    reach = (height - eye[2]) / ray[..., 2:]
    return np.asarray(eye[:2] + reach * ray[..., :2])


def _straightened(bent: Floats, camera: Camera) -> Floats:
    """True radius over distorted radius: Newton on r (1 + k1 r² + k2 r⁴) = bent."""
    r = bent.copy()
    for _ in range(12):
        r2 = r * r
        slope = 1.0 + r2 * (3.0 * camera.k1 + 5.0 * r2 * camera.k2)
        r = r - (r * (1.0 + r2 * (camera.k1 + r2 * camera.k2)) - bent) / np.maximum(slope, 0.1)
    return np.where(bent > 1e-12, r / np.maximum(bent, 1e-12), 1.0)


def turned(vector: ArrayLike) -> Floats:
    """The rotation matrix of a rotation vector [rad]."""
    v = np.asarray(vector, dtype=float)
    angle = float(np.linalg.norm(v))
    return rotation(v, angle) if angle > 1e-12 else np.eye(3)


def homography(plane: ArrayLike, pixels: ArrayLike) -> Floats:
    """The 3×3 map from a plane to a photo that fits point pairs best, last entry 1.

    Normalised direct linear transform: Hartley & Zisserman, Multiple View Geometry, 2nd ed.,
    algorithm 4.2 (from memory).

    Args:
        plane: shape (n, 2), n at least 4, no three of four on a line.
        pixels: shape (n, 2).
    """
    (a, to_a), (b, to_b) = _normalised(plane), _normalised(pixels)
    one = np.concatenate([a, np.ones((len(a), 1))], axis=1)
    none = np.zeros_like(one)
    rows = np.concatenate(
        [
            np.concatenate([one, none, -b[:, :1] * one], axis=1),
            np.concatenate([none, one, -b[:, 1:] * one], axis=1),
        ]
    )
    h = np.linalg.svd(rows)[2][-1].reshape(3, 3)
    h = np.linalg.inv(to_b) @ h @ to_a
    return np.asarray(h / h[2, 2])


def apply(h: Floats, points: ArrayLike) -> Floats:
    """Points (n, 2) through a homography.

    >>> apply(np.diag([2.0, 2.0, 1.0]), [[1.0, 3.0]]).tolist()
    [[2.0, 6.0]]
    """
    p = np.asarray(points, dtype=float)
    out = p @ h[:, :2].T + h[:, 2]
    return np.asarray(out[..., :2] / out[..., 2:])


def _normalised(points: ArrayLike) -> tuple[Floats, Floats]:
    p = np.asarray(points, dtype=float)
    middle = p.mean(axis=0)
    s = math.sqrt(2.0) / float(np.mean(np.linalg.norm(p - middle, axis=1)))
    to = np.array([[s, 0.0, -s * middle[0]], [0.0, s, -s * middle[1]], [0.0, 0.0, 1.0]])
    return (p - middle) * s, to


def camera_from(h: Floats, focal: float, centre: tuple[float, float]) -> Camera:
    """The camera that sees the board's plane through a homography, its focal length given.

    Zhang, A flexible new technique for camera calibration, 2000, section 3.1 (from memory).
    """
    inner = np.array([[focal, 0.0, centre[0]], [0.0, focal, centre[1]], [0.0, 0.0, 1.0]])
    m = np.linalg.inv(inner) @ h
    m = m / math.sqrt(float(np.linalg.norm(m[:, 0]) * np.linalg.norm(m[:, 1])))
    m = m if m[2, 2] > 0 else -m
    u, _, v = np.linalg.svd(np.stack([m[:, 0], m[:, 1], np.cross(m[:, 0], m[:, 1])], axis=1))
    turn = u @ np.diag([1.0, 1.0, float(np.linalg.det(u @ v))]) @ v
    return Camera(focal=focal, centre=centre, k1=0.0, k2=0.0, turn=turn, shift=m[:, 2])
