"""The mock-up: outside faces and hole centres kept, slots and corners made for the board."""

import io
import math
from dataclasses import replace

import numpy as np
import pypdf
import pytest
from hypothesis import given
from hypothesis import strategies as st
from made_up import BRACKET, CHEEK, build
from shapely.geometry import Point, Polygon

from barwright.geometry.pose import frame, pose_of
from barwright.pack.board import THICKNESS, mocked_up
from barwright.pack.board_flats import butt, flats_of, setback
from barwright.pack.corner_numbers import corner_numbers
from barwright.pack.guide import steps
from barwright.pack.outlines import cut_of
from barwright.pack.wrap_pages import plates_pdf
from barwright.pack.write import make
from barwright.plates.arcs import loops_of
from barwright.plates.corners import corners_of
from barwright.plates.folded import folded
from barwright.plates.outline import region
from barwright.plates.part import Fold, Loop, Part
from barwright.plates.shadow import shadow
from barwright.plates.slots import Tab, slot_for, with_tab
from barwright.plates.solids import exact_body


def angle(degrees=90.0, up=1.0):
    """An angle bracket, 60 and 40 either side of its bend line, 50 wide."""
    return Part(
        name="angle",
        thickness=4.0,
        material="a36",
        outline=Loop(
            vertices=((-60.0, 0.0, 0.0), (40.0, 0.0, 0.0), (40.0, 50.0, 0.0), (-60.0, 50.0, 0.0))
        ),
        holes=(Loop(vertices=((-45.0, 25.0, -1.0), (-35.0, 25.0, -1.0))),),
        folds=(
            Fold(start=(0.0, 0.0), end=(0.0, 50.0), angle=up * math.radians(degrees), radius=4.0),
        ),
    )


def boards(*parts):
    return mocked_up(build(parts=parts))[0].parts


def corners(part, z):
    """The corners of a flat part's face at a height, in space."""
    xy = np.array([v[:2] for v in part.outline.vertices])
    return part.placed.points(np.column_stack([xy, np.full(len(xy), z)]))


@pytest.mark.parametrize("up", [1.0, -1.0])
@pytest.mark.parametrize("degrees", [30.0, 60.0, 90.0, 120.0])
def test_flats_meet_at_the_corner_of_the_metal_s_outside_faces(degrees, up):
    """The outside faces are the metal's own planes; the nearer flat ends where they cross."""
    metal = angle(degrees, up)
    near, far = boards(metal)
    whole = folded(metal)
    outside = 0.0 if up > 0 else THICKNESS
    face = 0.0 if up > 0 else metal.thickness
    for flat, panel in zip((near, far), whole.panels, strict=True):
        heights = panel.pose.inverse().points(corners(flat, outside))[:, 2]
        assert heights == pytest.approx(np.full(4, face), abs=1e-6)
    far_plane = whole.panels[1].pose.inverse().points(corners(near, outside))[:, 2]
    assert np.min(np.abs(far_plane - face)) == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("degrees", [20.0, 45.0, 75.0, 90.0, 110.0, 140.0])
def test_flats_touch_and_do_not_overlap(degrees):
    near, far = boards(angle(degrees))
    pushed = far.placed.directions((-0.3, 0.0, 0.0))
    if far.placed.directions((1.0, 0.0, 0.0))[2] < 0.0:
        pushed = -pushed  # its x runs toward the bend
    shift = tuple(float(v) for v in np.array(far.placed.shift) + pushed)
    closer = replace(far, placed=replace(far.placed, shift=shift))
    assert stands_in(far, near) < 0.5
    assert stands_in(closer, near) > 1.0


def stands_in(one, other):
    """How much of a flat stands in another's material [mm²]."""
    within = (0.001, THICKNESS - 0.001)
    return (shadow(exact_body(one), other.placed, within) & region(other.outline)).area


def test_a_right_angle_by_hand():
    """60 less half the allowance, plus r + t to the corner; the other less the board as well."""
    metal = angle()
    near, far = boards(metal)
    allowance = math.pi / 2 * (4.0 + 0.325 * 4.0)  # DIN 6935: k = 0.65 at r/s = 1, K half of it
    lengths = sorted(np.ptp([v[0] for v in p.outline.vertices]) for p in (near, far))
    assert lengths == pytest.approx([40 - allowance / 2 + 8 - THICKNESS, 60 - allowance / 2 + 8])


def test_hole_centres_stay_where_they_were():
    metal = angle()
    near, _ = boards(metal)
    hole = cut_of(near.holes[0])
    assert (hole.centre, hole.radius) == ((-40.0, 25.0), 5.0)
    there = near.placed.points((*hole.centre, THICKNESS / 2))
    home = folded(metal).panels[0].pose.inverse().points(there)
    assert home[:2] == pytest.approx((-40.0, 25.0))


def test_a_flat_part_keeps_its_outline_and_its_middle_plane():
    (flat,) = boards(replace(CHEEK, placed=frame((0, 5000, 0), (1, 0, 0), (0, 1, 0))))
    assert region(flat.outline).symmetric_difference(region(CHEEK.outline)).area < 1.0
    assert flat.placed.shift[2] + THICKNESS / 2 == pytest.approx(CHEEK.thickness / 2)


def slotted_pair(thick=5.0):
    """A plate with a tab standing through a slot in another, as the fittings make them."""
    base = frame((0, 5000, 0), (1, 0, 0), (0, 1, 0))
    tabbed = frame((50.0, 5030.0 + thick / 2, thick), (1, 0, 0), (0, 0, 1))
    tab = Tab(foot=(0.0, 0.0), along=(1.0, 0.0), out=(0.0, -1.0), width=20.0, height=thick + 0.8)
    upright = with_tab(Polygon([(-30, 0), (30, 0), (30, 40), (-30, 40)]), tab)
    slot = slot_for(tab, thickness=thick, tabbed=tabbed, slotted=base, clearance=0.2)
    outline, _ = loops_of(upright)
    plate = Loop(
        vertices=((0.0, 0.0, 0.0), (100.0, 0.0, 0.0), (100.0, 60.0, 0.0), (0.0, 60.0, 0.0))
    )
    return (
        Part(
            name="base", thickness=thick, material="a36", outline=plate, holes=(slot,), placed=base
        ),
        Part(name="upright", thickness=thick, material="a36", outline=outline, placed=tabbed),
    )


@pytest.mark.parametrize("thick", [2.0, 3.0, 5.0])
def test_slots_take_the_board_with_the_clearance_they_had(thick):
    base, _ = boards(*slotted_pair(thick))
    (hole,) = base.holes
    x, y, _ = np.array(hole.vertices).T
    assert np.ptp(x) == pytest.approx(20.2, abs=0.01)
    assert np.ptp(y) == pytest.approx(THICKNESS + 0.2, abs=0.05)
    assert (y.min() + y.max()) / 2 == pytest.approx(30.0, abs=0.05)


@pytest.mark.parametrize("thick", [2.0, 3.0, 5.0])
def test_a_tabbed_flat_stands_in_no_other(thick):
    base, upright = boards(*slotted_pair(thick))
    dark = shadow(exact_body(upright), base.placed, (0.02, THICKNESS - 0.02))
    assert (dark & region(base.outline, base.holes)).area < 0.5
    assert region(upright.outline).area > 0.95 * 60 * 40


def test_two_way_folds_still_meet():
    flats = flats_of(BRACKET, 3.0)
    assert [f.name for f in flats] == [f"striker.gusset-{c}" for c in "abc"]
    assert all(f.shape.is_valid for f in flats)
    assert sum(len(f.joints) for f in flats) == 4


@given(st.floats(1.0, 150.0), st.floats(0.5, 20.0), st.floats(0.0, 1.0))
def test_a_butted_edge_clears_the_other_flat(degrees, board, share):
    """No point of the square-cut edge lies within the other flat, which ends at the corner."""
    theta, short = math.radians(degrees), butt(math.radians(degrees), board)
    depth = share * board
    x = short * math.cos(theta) - depth * math.sin(theta)
    y = -short * math.sin(theta) - depth * math.cos(theta)
    assert x >= -1e-9 * board or y <= -board * (1 - 1e-9)


def test_setback_of_a_right_angle_is_radius_and_thickness():
    fold = Fold(start=(0, 0), end=(1, 0), angle=math.pi / 2, radius=3.0)
    assert setback(fold, 2.0, 5.0, 0.0) == pytest.approx(5.0)


def test_the_board_pack_says_it_is_board_and_has_no_bends():
    made = make(build(), stage="board")
    assert any(f.code == "pack.board" for f in made.findings)
    assert "flat/striker.gusset-a.dxf" in made.files
    assert "flat/striker.gusset.dxf" not in made.files
    assert made.files == make(build(), stage="board").files


@pytest.mark.parametrize("placed", [frame((0, 0, 0), (1, 0, 0), (0, 1, 0)), None])
def test_corners_of_board_have_the_metal_s_numbers(placed):
    """Trims are written down by them; where the flats meet there is no corner of the metal."""
    metal = angle() if placed is None else replace(angle(), placed=placed)
    if placed is None:  # mirrored: the flats are cut as they look from the other side
        metal = replace(metal, placed=pose_of(np.diag([1.0, -1.0, 1.0]), (0.0, 0.0, 0.0)))
    near, far = boards(metal)
    known = dict(enumerate(corners_of(metal), start=1))
    side = -1.0 if metal.placed.mirrors else 1.0
    found = {}
    for flat in (near, far):
        edge = Polygon([v[:2] for v in flat.outline.vertices]).exterior
        for number, at, out in flat.called:
            assert at == pytest.approx((side * known[number][0], known[number][1]))
            assert math.hypot(*out) == pytest.approx(1.0)
            assert edge.distance(Point(at)) < 1.0
            found[number] = flat.name
        drawn = {t.text for t in corner_numbers(flat)}
        assert drawn == {str(n) for n, name in found.items() if name == flat.name}
    assert {*found} == {1, 2, 3, 4}
    assert sorted(found.values()) == ["angle-a", "angle-a", "angle-b", "angle-b"]


def test_a_flat_says_what_it_is_butted_to_and_at_which_angle():
    near, far = boards(angle(60.0, -1.0))
    assert near.note == "edge 1 to flat -b, 60.0° DOWN"
    assert far.note == "edge 1 to flat -a, 60.0° DOWN"
    text = " ".join(
        pypdf.PdfReader(io.BytesIO(plates_pdf((near, far), "mm", "job", stage="board")))
        .pages[0]
        .extract_text()
        .split()
    )
    assert "edge 1 to flat -b, 60.0° DOWN" in text
    assert "metal part's corners" in text


def test_the_board_s_guide_ends_before_metal_is_ordered():
    titles = [s.title for s in steps(build(), "board")]
    assert titles[0] == "Make the mock-up"
    assert titles[-1] == "Before the metal is ordered"
    assert not any("weld" in t.lower() for t in titles)
