"""OpenCV 5: markers, homography and camera model against ours.

PH1: a synthetic 300×200 mm plate with 4 ArUco markers of 40 mm, warped to 3600×2400 px, blur
1 px, noise 3 DN: corner rms 0.072 mm as detected, 0.027 mm refined by the library (calculated with
its script). PH2: a homography through 4 exact points, and its inverse, to better than 1e-6 px.
"""

import math

import cv2
import numpy as np
import pytest

from barwright.survey.template_board import CELLS
from barwright.survey.template_camera import Camera, apply, homography, project, turned, unproject
from barwright.survey.template_edges import located
from barwright.survey.template_photo import Photo, marker_cells, markers

SCALE = 10.0  # cells of the plate's picture to a millimetre
SIDE = 40.0
PLACES = np.array([[10.0, 10.0], [250.0, 10.0], [250.0, 150.0], [10.0, 150.0]])
CORNERS = PLACES[:, None, :] + np.array([[0, 0], [SIDE, 0], [SIDE, SIDE], [0, SIDE]])
LOOK = np.array([[310.0, 190.0], [3290.0, 260.0], [3210.0, 2230.0], [400.0, 2140.0]])
"""Where the plate's corners come to lie in the photo [px]."""

ID0 = np.array([[0, 0], [300, 0], [300, 200], [0, 200]], dtype=float)


def plate():
    picture = np.full((2000, 3000), 255, np.uint8)
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_1000)
    for number, (x, y) in enumerate(PLACES):
        cells = cv2.aruco.generateImageMarker(dictionary, number, 400)
        picture[int(y * 10) : int(y * 10) + 400, int(x * 10) : int(x * 10) + 400] = cells
    return picture


def half(points):
    """From lengths on the plate to the picture's cells, whose centres count as whole numbers."""
    return points * SCALE - 0.5


@pytest.fixture(scope="module")
def warped():
    to = cv2.getPerspectiveTransform(half(ID0).astype(np.float32), LOOK.astype(np.float32))
    seen = cv2.warpPerspective(
        plate().astype(np.float32), to, (3600, 2400), flags=cv2.INTER_AREA, borderValue=255
    )
    seen = cv2.GaussianBlur(seen, (0, 0), 1.0)
    seen += np.random.default_rng(1).normal(0.0, 3.0, seen.shape)
    grey = np.clip(np.round(seen), 0, 255).astype(np.uint8)
    # The blur was put on the stored values: they are the light here.
    return Photo(encoded=grey, light=(grey / 255.0).astype(np.float32), focal=None), to


def crossed(photo, rough):
    """A marker's corners where its sides' fitted edges meet."""
    lines = []
    for a, b in zip(rough, np.roll(rough, -1, axis=0), strict=True):
        run = (b - a) / np.linalg.norm(b - a)
        out = np.array([run[1], -run[0]])
        at = a + np.linspace(0.1, 0.9, 60)[:, None] * (b - a)
        found = located(photo.light, at, np.repeat(out[None], 60, axis=0), 8.0)
        p = (at + found.at[:, None] * out)[found.good]
        middle = p.mean(axis=0)
        lines.append((middle, np.linalg.svd(p - middle)[2][0]))
    corners = []
    for (p, d), (q, e) in zip([lines[-1], *lines[:-1]], lines, strict=True):
        t = np.linalg.solve(np.stack([d, -e], axis=1), q - p)
        corners.append(p + t[0] * d)
    return np.array(corners)


def test_ph1_corners_of_four_markers_beat_the_library_s_own_refinement(warped):
    photo, to = warped
    numbers, rough = markers(photo)
    assert numbers.tolist() == [0, 1, 2, 3]
    back = np.linalg.inv(to)
    found = np.concatenate([apply(back, crossed(photo, r)) for r in rough])
    off = (found + 0.5) / SCALE - CORNERS.reshape(-1, 2)
    rms = math.sqrt(np.mean(np.sum(off**2, axis=1)))
    assert rms < 0.027


def test_ph1_half_a_pixel_is_not_lost(warped):
    photo, to = warped
    _, rough = markers(photo)
    back = np.linalg.inv(to)
    off = np.concatenate([apply(back, crossed(photo, r)) for r in rough]) - half(
        CORNERS.reshape(-1, 2)
    )
    assert np.abs(off.mean(axis=0)).max() < 0.1  # of a cell of 0.1 mm; half a pixel is 0.5


def test_ph2_four_exact_points_and_back():
    ours = homography(ID0, LOOK)
    theirs, _ = cv2.findHomography(ID0, LOOK)
    assert np.abs(apply(ours, ID0) - LOOK).max() < 1e-6
    assert np.abs(apply(np.linalg.inv(ours), apply(ours, ID0)) - ID0).max() < 1e-6
    grid = np.stack(np.meshgrid(np.linspace(0, 300, 7), np.linspace(0, 200, 5)), -1).reshape(-1, 2)
    assert np.abs(apply(ours, grid) - apply(theirs, grid)).max() < 1e-6


@pytest.mark.parametrize(("k1", "k2"), [(0.0, 0.0), (0.08, -0.03), (-0.18, 0.06)])
def test_the_camera_model_is_the_library_s(k1, k2):
    vector, shift = np.array([2.9, 0.3, -0.2]), np.array([-140.0, 110.0, 520.0])
    camera = Camera(
        focal=2100.0, centre=(1499.5, 1124.5), k1=k1, k2=k2, turn=turned(vector), shift=shift
    )
    rng = np.random.default_rng(3)
    xyz = np.stack([rng.uniform(0, 300, 200), rng.uniform(0, 220, 200), rng.uniform(0, 5, 200)], 1)
    inner = np.array([[2100.0, 0, 1499.5], [0, 2100.0, 1124.5], [0, 0, 1]])
    theirs, _ = cv2.projectPoints(xyz, vector, shift, inner, np.array([k1, k2, 0.0, 0.0]))
    assert np.abs(project(camera, xyz) - theirs.reshape(-1, 2)).max() < 1e-8
    flat = np.concatenate([xyz[:, :2], np.full((200, 1), 3.0)], axis=1)
    assert np.abs(unproject(camera, project(camera, flat), 3.0) - flat[:, :2]).max() < 1e-7


def test_marker_cells_are_the_open_dictionary_s():
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_1000)
    for number in (0, 1, 517, 999):
        bits = np.array(marker_cells(number))
        assert bits.shape == (CELLS, CELLS)
        assert bits[0].all()
        assert bits[-1].all()
        assert bits[:, 0].all()
        assert bits[:, -1].all()
        found, got, _ = dictionary.identify((~bits[1:6, 1:6]).astype(np.uint8), 0.0)
        assert (found, got) == (True, number)
