"""Where the markers lie, and names of boards."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from barwright.job.errors import BadInput
from barwright.survey.template_board import BAND, DICTIONARY_SIZE, PAPERS, SIDE, UP_BAR, board
from barwright.survey.template_camera import Camera, project, turned, unproject


@pytest.mark.parametrize("paper", sorted(PAPERS))
def test_all_markers_lie_on_the_paper_clear_of_printers_margins(paper):
    it = board(paper)
    low, high = it.corners.min(axis=(0, 1)), it.corners.max(axis=(0, 1))
    assert low[0] >= 10.0
    assert low[1] >= BAND
    assert np.all(high <= np.array(it.size) - 9.99)
    sides = np.linalg.norm(np.roll(it.corners, -1, axis=1) - it.corners, axis=2)
    assert np.allclose(sides, SIDE)
    assert BAND + 4 + UP_BAR[paper] < it.size[1] - 5


@given(paper=st.sampled_from(sorted(PAPERS)), across=st.integers(1, 4), up=st.integers(1, 4))
def test_every_sheet_has_its_own_markers_or_the_board_is_refused(paper, across, up):
    count = across * up * board(paper).per_sheet
    name = f"{paper}-{across}x{up}"
    if count > DICTIONARY_SIZE:
        with pytest.raises(BadInput):
            board(name)
    else:
        assert board(name).sheets * board(name).per_sheet == count


@pytest.mark.parametrize("name", ["", "a0", "a4-0x1", "a4x", "../a4", "a4-99x99", "Legal"])
def test_other_names_are_refused_with_those_there_are(name):
    with pytest.raises(BadInput) as told:
        board(name)
    assert "a4" in str(told.value)


def test_capitals_do_not_matter():
    assert board(" A3 ") == board("a3")


@given(
    k1=st.floats(-0.2, 0.2),
    k2=st.floats(-0.05, 0.05),
    tilt=st.floats(-0.5, 0.5),
    height=st.floats(0.0, 10.0),
)
def test_a_point_seen_is_found_again(k1, k2, tilt, height):
    turn = turned([np.pi, 0.0, 0.0]) @ turned([tilt, 0.0, 0.1])
    camera = Camera(
        focal=2000.0,
        centre=(1500.0, 1000.0),
        k1=k1,
        k2=k2,
        turn=turn,
        shift=np.array([-150.0, 100.0, 600.0]),
    )
    xy = np.stack(np.meshgrid([60.0, 150.0, 240.0], [40.0, 100.0, 180.0]), -1).reshape(-1, 2)
    xyz = np.concatenate([xy, np.full((9, 1), height)], axis=1)
    assert np.abs(unproject(camera, project(camera, xyz), height) - xy).max() < 1e-4
