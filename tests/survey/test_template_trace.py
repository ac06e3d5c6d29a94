"""Photos made up with perspective, lens, blur, noise, uneven light and JPEG, traced back."""

import math
import struct
import zlib
from dataclasses import replace

import cv2
import numpy as np
import pytest
import shapely
from card_photo import Scene, photo, to_pixels

from barwright.job.errors import BadInput
from barwright.pack.drawing import Loop, points_along
from barwright.survey.template_trace import trace
from barwright.survey.template_types import Pick

X, Y = 48.0, 70.0


def arc(x, y, r, start, end, n=90):  # noqa: PLR0917 - a centre, a radius, two angles
    a = np.radians(np.linspace(start, end, n))
    return [(x + r * math.cos(t), y + r * math.sin(t)) for t in a]


PLATE = (
    (X, Y),
    *arc(X + 180, Y + 20, 20, -90, 0),
    *arc(X + 194, Y + 294, 6, 0, 90),
    (X + 40, Y + 300),
    (X, Y + 270),
    *arc(X, Y + 150, 25, 90, -90),
)
"""200 × 300 mm: radii of 20, 6 and 25 (inward), a chamfer, three sharp corners."""

HOLES = (
    tuple(arc(X + 60, Y + 60, 6, 0, 358, 180)),
    ((X + 90, Y + 100), (X + 150, Y + 100), (X + 150, Y + 112), (X + 90, Y + 112)),
)
PEN = ((X + 30, Y + 30), (X + 170, Y + 45))

SMALL = Scene(
    outline=PLATE,
    holes=HOLES,
    pen=((*PEN, 0.8),),
    size=(2000, 1500),
    aim=(150.0, 222.0),
    eye=(185.0, 100.0, 450.0),
    k1=0.06,
    k2=-0.03,
    seed=1,
)


def run(outline, n=600):
    ring = shapely.Polygon(points_along(Loop(vertices=outline.vertices), 0.005)).exterior
    return ring, [ring.interpolate(t, normalized=True) for t in np.linspace(0, 1, n)]


def misses(outline, truth):
    """Both ways: of the traced outline off the true one, and of the true one off the traced."""
    ring, points = run(outline)
    true = shapely.Polygon(truth).exterior
    back = [true.interpolate(t, normalized=True) for t in np.linspace(0, 1, 600)]
    return (
        np.array([true.distance(p) for p in points]),
        np.array([ring.distance(p) for p in back]),
    )


def rms(values):
    return float(np.sqrt(np.mean(np.square(values))))


@pytest.fixture(scope="module")
def shot():
    return photo(SMALL)


@pytest.fixture(scope="module")
def traced(shot):
    ends = to_pixels(SMALL, [(*PEN[0], 3.0), (*PEN[1], 3.0)]) + 0.5
    pick = Pick(name="fold", a=tuple(ends[0] + (3.0, 2.0)), b=tuple(ends[1] + (-2.0, 3.0)))
    nothing = Pick(name="none", a=tuple(ends[0] + (90.0, 0.0)), b=tuple(ends[1] + (90.0, 0.0)))
    return trace(shot, board_name="a3", thickness=3.0, printed_bar=100.0, picks=(pick, nothing))


def test_the_outline_is_within_0_15_mm_rms(traced):
    there, back = misses(traced.outline, PLATE)
    assert rms(there) < 0.15
    assert rms(back) < 0.15
    assert back.max() < 0.3


def test_every_straight_and_arc_is_found_once(traced):
    bulges = [v[2] for v in traced.outline.vertices]
    assert len(bulges) == 9
    arcs = [b for b in bulges if b]
    assert len(arcs) == 3
    assert sum(b < 0 for b in arcs) == 1  # the notch turns the other way
    assert min(arcs) == pytest.approx(-1.0, abs=0.02)


def test_holes_are_found_as_what_they_are(traced):
    assert sorted(len(h.vertices) for h in traced.holes) == [2, 4]
    round_ = min(traced.holes, key=lambda h: len(h.vertices))
    (x0, y0, b0), (x1, y1, b1) = round_.vertices
    assert (b0, b1) == (1.0, 1.0)
    assert math.hypot(x1 - x0, y1 - y0) == pytest.approx(12.0, abs=0.1)
    assert ((x0 + x1) / 2, (y0 + y1) / 2) == pytest.approx((X + 60, Y + 60), abs=0.1)
    slot = max(traced.holes, key=lambda h: len(h.vertices))
    assert rms(misses(slot, HOLES[1])[0]) < 0.15


def test_a_drawn_line_is_found_from_two_rough_picks(traced):
    line, none = traced.lines
    assert line.found
    a, b = (np.array(p) for p in PEN)
    out = np.array([-(b - a)[1], (b - a)[0]]) / np.linalg.norm(b - a)
    assert abs((np.array(line.a) - a) @ out) < 0.1
    assert abs((np.array(line.b) - a) @ out) < 0.1
    assert not none.found
    assert any("none" in note for note in traced.notes)


def test_what_it_says_of_itself_holds(traced):
    true, it = SMALL.eye[2], traced.view
    assert abs(it.height - true) < 3.0 * it.height_sd
    assert it.blur == pytest.approx(1.1, abs=0.3)
    there, _ = misses(traced.outline, PLATE)
    assert there.mean() < 3.0 * traced.length_sd(180.0)
    assert 0.002 < traced.scale_sd < 0.004  # the bar, read to 0.2 mm in 100, leads
    assert traced.length_sd(0.0) == traced.edge_sd
    assert all(
        len(traced.outline.vertices) == len(x)
        for x in (
            traced.outline.rms,
            traced.outline.worst,
            traced.outline.points,
            traced.outline.sd,
        )
    )


def test_the_same_photo_gives_the_same_outline_and_an_unchecked_print_is_told(shot, traced):
    again = trace(shot, board_name="a3", thickness=3.0)
    assert again.outline == traced.outline
    assert again.scale_sd >= 0.005
    assert any("not checked" in note for note in again.notes)


def test_a_board_printed_1_per_cent_small_is_made_good_by_the_bars(shot, traced):
    small = trace(shot, board_name="a3", thickness=3.0, printed_long=(178.2, 356.4))
    ours, theirs = (
        shapely.Polygon(points_along(Loop(vertices=t.outline.vertices))).length
        for t in (small, traced)
    )
    # The card's thickness does not shrink with the print, nor does its correction.
    assert ours / theirs == pytest.approx(0.99, abs=2e-4)
    assert small.scale_sd < traced.scale_sd


def test_a_measured_camera_height_makes_the_scale_surer(shot, traced):
    it = trace(shot, board_name="a3", thickness=3.0, printed_bar=100.0, camera_height=450.0)
    assert it.view.height_sd < traced.view.height_sd
    assert it.scale_sd <= traced.scale_sd
    assert it.view.height == pytest.approx(450.0, abs=3.0 * it.view.height_sd)


@pytest.fixture(scope="module")
def from_a_metre():
    corners = ((50.0, 80.0), (250.0, 80.0), (250.0, 380.0), (50.0, 380.0))
    return photo(
        replace(
            SMALL,
            outline=corners,
            holes=(),
            pen=(),
            thickness=2.0,
            eye=(150.0, 220.0, 1000.0),
            aim=(150.0, 220.001),
            focal35=50.0,
            noted=True,
            k1=0.0,
            k2=0.0,
            noise=1.0,
            jpeg=95,
        )
    )


def test_ph4_a_traced_photo_shrinks_by_dz_over_z(from_a_metre):
    def area(thickness):
        it = trace(from_a_metre, board_name="a3", thickness=thickness, printed_bar=100.0)
        return shapely.Polygon([v[:2] for v in it.outline.vertices]).area

    flat, right = area(0.0), area(2.0)
    assert math.sqrt(flat / right) - 1.0 == pytest.approx(2.0 / 1000.0, rel=0.1)
    assert math.sqrt(right / 60_000.0) == pytest.approx(1.0, abs=0.0005)


@pytest.mark.study
def test_several_sheets_taped_askew_are_put_right():
    scene = replace(
        SMALL,
        board="a4-2x2",
        outline=((60.0, 90.0), (360.0, 90.0), (360.0, 500.0), (250.0, 500.0), (60.0, 400.0)),
        holes=(),
        pen=(),
        size=(2400, 1800),
        eye=(205.0, 180.0, 640.0),
        aim=(210.0, 290.0),
        k1=-0.08,
        k2=0.03,
        lies={1: (1.3, -0.8, 0.006), 2: (-0.7, 1.1, -0.004), 3: (2.0, 1.5, 0.003)},
    )
    it = trace(photo(scene), board_name="a4-2x2", thickness=3.0, printed_bar=100.0)
    there, back = misses(it.outline, scene.outline)
    assert rms(there) < 0.2  # 0.15 mm on 300 mm, this is 410 mm long
    assert rms(back) < 0.2
    assert len(it.outline.vertices) == 5


@pytest.mark.study
def test_a_shadow_is_not_taken_for_card():
    scene = replace(SMALL, shadow=(3.0, -4.0), pen=(), seed=3)
    it = trace(photo(scene), board_name="a3", thickness=3.0, printed_bar=100.0)
    assert rms(misses(it.outline, PLATE)[0]) < 0.15
    assert any("shadow" in note for note in it.notes)


# ---- what goes wrong ---------------------------------------------------------------------------


def refused(data, **given):
    with pytest.raises(BadInput) as told:
        trace(data, **{"board_name": "a3", "thickness": 3.0, **given})
    (fault,) = told.value.faults
    assert fault.do
    assert fault.expected
    return fault


def jpeg(grey):
    return cv2.imencode(".jpg", grey)[1].tobytes()


@pytest.fixture(scope="module")
def grey(shot):
    return cv2.imdecode(np.frombuffer(shot, np.uint8), cv2.IMREAD_GRAYSCALE)


@pytest.mark.parametrize("sigma", [5.0, 12.0])
def test_a_blurred_photo(grey, sigma):
    fault = refused(jpeg(cv2.GaussianBlur(grey, (0, 0), sigma)))
    assert fault.entry == "sharpness"
    assert "px" in fault.read


def test_a_shaken_photo(grey):
    shaken = cv2.blur(grey, (1, 17))
    assert refused(jpeg(shaken)).entry == "sharpness"


def test_no_board_in_view():
    grass = np.random.default_rng(1).integers(0, 255, (1200, 1600)).astype(np.uint8)
    fault = refused(jpeg(grass))
    assert (fault.entry, fault.read) == ("board", "no markers in view")


def test_too_few_markers(grey):
    few = grey.copy()
    few[:, :] = 128
    x, y = (int(v) for v in to_pixels(SMALL, [(150.0, 395.0, 0.0)])[0])
    few[y - 60 : y + 60, x - 60 : x + 60] = grey[y - 60 : y + 60, x - 60 : x + 60]
    fault = refused(jpeg(few))
    assert fault.entry == "board"
    assert "at least 8" in fault.expected


def test_another_board_than_named(shot):
    fault = refused(shot, board_name="a4")
    assert "a3" in fault.read
    assert "a3" in fault.do


def test_a_board_nobody_printed(shot):
    assert refused(shot, board_name="a7").read == "a7"
    assert "11 sheets" in refused(shot, board_name="a4-9x9").expected


@pytest.mark.parametrize("bar", [94.0, 4.0, 25.4, float("nan"), -100.0])
def test_a_wrong_print_scale(shot, bar):
    fault = refused(shot, printed_bar=bar)
    assert fault.entry == "printed bar"
    assert "100 %" in fault.do


def test_all_that_is_wrong_is_told_at_once(shot):
    with pytest.raises(BadInput) as told:
        trace(shot, board_name="a3", thickness=-1.0, tolerance=99.0, camera_height=float("nan"))
    assert [f.entry for f in told.value.faults] == ["thickness", "tolerance", "camera height"]


def test_a_template_cut_off_by_the_photo(grey):
    fault = refused(jpeg(np.ascontiguousarray(grey[:, :1150])))
    assert fault.entry == "template"
    assert "whole" in fault.expected


def test_a_template_no_darker_than_paper():
    scene = replace(SMALL, card=0.80, holes=(), pen=(), size=(1200, 900))
    fault = refused(photo(scene))
    assert fault.entry == "template"
    assert "contrast" in fault.read


def test_a_bare_board():
    scene = replace(
        SMALL, outline=((500, 500), (510, 500), (510, 510)), holes=(), pen=(), size=(1200, 900)
    )
    assert refused(photo(scene)).entry == "template"


def test_a_pick_off_the_photo(shot):
    fault = refused(shot, picks=(Pick(name="fold", a=(10.0, 10.0), b=(9000.0, 10.0)),))
    assert fault.entry == "pick fold"


@pytest.mark.parametrize("data", [b"", b"no photo", b"\xff\xd8\xff\xe0" + bytes(40), b"%PDF-1.4"])
def test_not_an_image(data):
    assert refused(data).entry == "photo"


def test_a_damaged_photo(shot):
    fault = refused(shot[:3000])
    assert fault.file == "photo"


def test_a_picture_bomb_is_refused_by_its_header():
    def chunk(kind, data):
        return (
            struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        )

    head = struct.pack(">IIBBBBB", 30_000, 30_000, 8, 0, 0, 0, 0)
    bomb = b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", b"") + chunk(b"IEND", b"")
    fault = refused(bomb)
    assert "megapixels" in fault.expected


def test_a_preview_is_too_small():
    fault = refused(jpeg(np.full((300, 400), 128, np.uint8)))
    assert fault.read == "400 × 300 px"


# ---- a larger study ----------------------------------------------------------------------------


@pytest.mark.study
@pytest.mark.parametrize("seed", range(6))
def test_photos_from_many_places_stay_within_0_15_mm(seed):
    rng = np.random.default_rng(100 + seed)
    side, tilt = rng.uniform(0, math.tau), math.radians(rng.uniform(8, 22))
    high = rng.uniform(430, 520)
    eye = (
        150 + high * math.tan(tilt) * math.cos(side),
        222 + high * math.tan(tilt) * math.sin(side),
    )
    scene = replace(
        SMALL,
        eye=(*eye, high),
        roll=90 + rng.uniform(-12, 12),
        k1=rng.uniform(-0.15, 0.1),
        k2=rng.uniform(-0.04, 0.04),
        off_centre=tuple(rng.uniform(-10, 10, 2)),
        blur=rng.uniform(0.6, 1.6),
        noise=rng.uniform(1, 4),
        falloff=rng.uniform(0, 0.4),
        card=rng.uniform(0.2, 0.45),
        noted=bool(seed % 2),
        seed=seed,
    )
    it = trace(photo(scene), board_name="a3", thickness=3.0, printed_bar=100.0)
    there, back = misses(it.outline, PLATE)
    assert rms(there) < 0.15
    assert rms(back) < 0.15
