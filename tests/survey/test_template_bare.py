"""The bare board as it lies: sheets found again in their own frames, and the print on them."""

import math
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from barwright.survey.template_bare import INK, PAPER, SEAM, UNKNOWN, Bare, _cells, _local, shows
from barwright.survey.template_board import BAND, CELLS, PITCH, SIDE, board
from barwright.survey.template_layout import CAMERA_UNKNOWNS, Layout

BOARD = board("a4-2x2")


def laid(sheets=(0, 1, 2, 3), scale=(1.0, 1.0), moved=()):
    """The board with some sheets moved: (dx, dy, turn) of each sheet after the first."""
    x = np.zeros(CAMERA_UNKNOWNS + 3 * (len(sheets) - 1))
    x[CAMERA_UNKNOWNS : CAMERA_UNKNOWNS + 3 * len(moved)] = np.ravel(moved)
    layout = Layout(
        board=BOARD,
        scale=scale,
        sheets=sheets,
        focal=1000.0,
        middle=(500.0, 400.0),
        diagonal=1300.0,
        aim=np.zeros(len(x)),
        hold=np.ones(len(x)),
    )
    return SimpleNamespace(layout=layout, unknowns=x)


def bare_of(view):
    cells = np.stack([_cells(BOARD, s) for s in view.layout.sheets])
    return Bare(view=view, cells=cells)


@given(st.floats(-9, 9), st.floats(-9, 9), st.floats(-0.5, 0.5), st.floats(0.98, 1.02))
def test_a_place_laid_on_the_board_is_found_again_on_its_sheet(dx, dy, turn, scale):
    view = laid(scale=(scale, 1.01), moved=((dx, dy, turn), (1.0, 2.0, -0.01)))
    local = np.array([[20.0, 40.0], [190.0, 250.0], [105.0, 30.0]])
    for sheet in (0, 1, 2):
        on = view.layout.on_board(view.unknowns, np.full(3, sheet), local)
        assert _local(view, sheet, on[:, :2]) == pytest.approx(local, abs=1e-9)


def test_each_sheet_lies_where_it_was_taped():
    view = laid(sheets=(0, 1, 3), moved=((1.0, 2.0, 0.0), (3.0, 4.0, math.pi / 2)))
    at = view.layout.on_board(view.unknowns, np.array([0, 1, 3]), np.tile([10.0, 0.0], (3, 1)))
    wide, high = BOARD.size
    assert at[0] == pytest.approx((10.0, 0.0, 0.0))
    assert at[1] == pytest.approx((wide + 1.0 + 10.0, 2.0, 0.0))
    assert at[2] == pytest.approx((wide + 3.0, high - BAND + 4.0 + 10.0, 0.0))


def test_the_camera_is_read_from_the_unknowns():
    layout = laid().layout
    x = np.zeros(CAMERA_UNKNOWNS + 9)
    x[:5] = math.log(2.0), 0.01, -0.02, 0.05, -0.01
    x[5:11] = 0.0, 0.0, math.pi / 2, 7.0, 8.0, 9.0
    camera = layout.camera(x)
    assert camera.focal == pytest.approx(2000.0)
    assert camera.centre == pytest.approx((513.0, 374.0))
    assert (camera.k1, camera.k2) == (0.05, -0.01)
    assert camera.turn @ (1.0, 0.0, 0.0) == pytest.approx((0.0, 1.0, 0.0))
    assert camera.shift.tolist() == [7.0, 8.0, 9.0]


def test_it_shows_the_markers_cells_their_rim_and_paper_between():
    """Cell by cell against the image library's own markers."""
    import cv2

    book = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_1000)
    it = bare_of(laid())
    columns, rows = BOARD.grid
    step = SIDE / CELLS
    inside = (np.arange(CELLS) + 0.5) * step
    for sheet, row, column in ((0, 0, 0), (0, 3, 2), (3, rows - 1, columns - 1)):
        place = row * columns + column
        number = sheet * BOARD.per_sheet + place
        picture = cv2.aruco.generateImageMarker(book, number, CELLS) > 0
        corner = BOARD.corners[place, 0] + BOARD.sheet_at(sheet)
        spots = np.stack(np.meshgrid(corner[0] + inside, corner[1] - inside), axis=-1)
        assert (shows(it, spots) == np.where(picture, PAPER, INK)).all()
        between = corner + np.array([[SIDE + 4.0, -5.0], [5.0, 4.0], [-4.0, -5.0]])
        assert shows(it, between).tolist() == [PAPER] * 3


def test_nobody_knows_off_the_sheets_at_seams_in_the_band_and_near_an_edge():
    it = bare_of(laid(sheets=(0,)))
    wide, high = BOARD.size
    knows = {
        (SEAM + 0.1, 100.0): True,
        (SEAM - 0.1, 100.0): False,
        (wide - SEAM - 0.1, 100.0): True,
        (wide - SEAM + 0.1, 100.0): False,
        (100.0, BAND + 0.1): True,
        (100.0, BAND - 0.1): False,
        (100.0, high - SEAM - 0.1): True,
        (100.0, high - SEAM + 0.1): False,
    }
    found = shows(it, np.array(list(knows)))
    assert (found != UNKNOWN).tolist() == list(knows.values())
    left, top = BOARD.corners[0, 0]
    across = np.array([[left + d, top - 1.0] for d in (-0.6, -0.4, 0.4, 0.6)])
    assert shows(it, across, 0.5).tolist() == [PAPER, UNKNOWN, UNKNOWN, INK]
    right = np.array([[left + SIDE + d, top - 1.0] for d in (-0.6, -0.4, 0.4, 0.6)])
    assert shows(it, right, 0.5).tolist() == [INK, UNKNOWN, UNKNOWN, PAPER]
    up = np.array([[left + 1.0, top + d] for d in (0.6, 0.4, -0.4, -0.6)])
    assert shows(it, up, 0.5).tolist() == [PAPER, UNKNOWN, UNKNOWN, INK]
    # The next marker's left edge is as doubtful from its left.
    after = np.array([[left + PITCH + d, top - 1.0] for d in (-0.6, -0.4, 0.4, 0.6)])
    assert shows(it, after, 0.5).tolist() == [PAPER, UNKNOWN, UNKNOWN, INK]
