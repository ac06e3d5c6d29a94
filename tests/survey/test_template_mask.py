"""Pieces and openings in what is hidden, on masks drawn by hand."""

import numpy as np
import pytest

from barwright.survey.template_mask import (
    LEAST_AREA,
    LEAST_HOLE,
    LEAST_SEEN,
    Flat,
    _filled,
    _limit,
    _openings,
    _pieces,
)


def flat_of(shape, pitch):
    y, x = np.mgrid[0 : shape[0], 0 : shape[1]].astype(float)
    places = np.stack([10.0 + pitch * x, 20.0 + pitch * y], axis=-1)
    return Flat(start=(10.0, 20.0), pitch=pitch, should=np.ones(shape, np.int8), places=places)


def card(pitch, holes=(), size=60.0):
    """A square card with square holes (x, y, side), all in mm from the first place."""
    n = round((size + 20.0) / pitch)
    at = pitch * np.arange(n)
    inside = (at >= 10.0) & (at < 10.0 + size)
    mask = inside[:, None] & inside
    for x, y, side in holes:
        mask &= ~(((at >= y) & (at < y + side))[:, None] & ((at >= x) & (at < x + side)))
    return mask


@pytest.mark.parametrize("pitch", [0.25, 0.5, 2.0])
def test_a_hole_counts_by_its_area_in_millimetres(pitch):
    """A side of 4 mm is 16 mm², above LEAST_HOLE; one of 2 mm is 4 mm², below."""
    assert 4.0 < LEAST_HOLE < 16.0
    mask = card(pitch, holes=((20.0, 30.0, 4.0), (50.0, 50.0, 2.0)))
    holes, spots = _openings(mask, ~mask, flat_of(mask.shape, pitch))
    assert spots == ()
    (rim,) = holes
    assert rim.mean(axis=0) == pytest.approx((32.0, 52.0), abs=pitch)
    assert np.ptp(rim, axis=0) == pytest.approx((4.0, 4.0), abs=1.01 * pitch)


@pytest.mark.parametrize("pitch", [0.25, 0.5])
def test_an_opening_where_no_bare_paper_is_seen_is_a_spot(pitch):
    mask = card(pitch, holes=((20.0, 30.0, 4.0), (40.0, 40.0, 6.0)))
    bare = np.zeros_like(mask)
    seen = np.argwhere(~mask & (np.add.outer(np.arange(len(mask)), np.arange(len(mask))) > 0))
    inside = [p for p in seen if np.all(pitch * p >= (40.0, 40.0)) and np.all(pitch * p < 46.0)]
    enough = int(LEAST_SEEN / pitch**2) + 1
    for i, j in inside[:enough]:
        bare[i, j] = True
    holes, spots = _openings(mask, bare, flat_of(mask.shape, pitch))
    assert len(holes) == 1
    assert spots[0] == pytest.approx((10.0 + 22.0, 20.0 + 32.0), abs=pitch)
    bare[tuple(inside[0])] = False
    assert len(_openings(mask, bare, flat_of(mask.shape, pitch))[1]) == 2


@pytest.mark.parametrize("pitch", [0.25, 0.5])
def test_pieces_come_largest_first_without_specks_and_threads(pitch):
    hidden = np.zeros((round(120 / pitch), round(120 / pitch)), dtype=bool)

    def lay(x, y, wide, high):
        low, left = round(y / pitch), round(x / pitch)
        hidden[low : low + round(high / pitch), left : left + round(wide / pitch)] = True

    lay(5, 5, 22, 22)
    lay(60, 60, 40, 40)
    lay(40, 5, 18, 18)
    lay(5, 100, 100, 0.5)
    assert 18.0 * 18.0 < LEAST_AREA < 22.0 * 22.0
    found = _pieces(hidden, pitch)
    assert [round(p.sum() * pitch**2) for p in found] == pytest.approx([1600, 484], rel=0.02)
    assert found[0][round(80 / pitch), round(80 / pitch)]
    assert not any(p[round(100.25 / pitch)].any() for p in found[1:])


def test_places_that_cannot_tell_take_the_nearest_answer():
    said = np.array([[True, False, False, False, False, False]])
    known = np.array([[True, False, False, False, False, True]])
    assert _filled(said, known).tolist() == [[True, True, True, False, False, False]]


@pytest.mark.parametrize(("dark", "spread"), [(0.5, 0.03), (0.9, 0.05), (0.3, 0.02)])
def test_the_limit_lies_between_paper_and_card(dark, spread):
    rng = np.random.default_rng(3)
    off = np.abs(np.concatenate([rng.normal(0, 0.02, 6000), rng.normal(dark, spread, 3000)]))
    limit = _limit(off)
    assert off[:6000].max() < limit < off[6000:].min()
    # Between two tight heaps any place parts them alike: the middle of those is taken.
    heaps = np.array([0.1] * 50 + [0.5] * 50)
    assert _limit(heaps) == pytest.approx(0.3, abs=0.02)
    assert _limit(np.array([0.01] * 50 + [0.05] * 50)) == 0.07
