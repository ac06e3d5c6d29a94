"""The whole stage on a made-up side: what it carries, what it says, what it refuses."""

import math
from dataclasses import replace

import numpy as np
import pytest
from side_scene import BARS, LEAF, MOTION, PARTS, built, job

from barwright.findings import Level
from barwright.job.errors import BadInput
from barwright.job.load_cases import LoadTable, StrengthTable
from barwright.plates.part import Parts
from barwright.strength import check as check_module
from barwright.strength.loads import cases
from barwright.strength.make import analyse
from barwright.strength.model import model
from barwright.strength.results import CAUTIONS, moves_of, runs_of
from barwright.tubes.bars import Bars

HELD = StrengthTable(held=("A", "B", "E", "F"))


def _run(**how):
    asked = job(**{"strength": HELD, **how})
    return analyse(asked, BARS, (MOTION,), PARTS)


def _push(force: float, **more) -> dict[str, LoadTable]:
    return {"push": LoadTable(on="upper", force=f"{force} N", **more)}


def _found(strength, code: str):
    return [f for f in strength.findings if f.code == code]


def _own(strength):
    return next(h for h in strength.held if h.case.name == "push")


def test_cautions_stand_before_everything():
    got = _run()
    assert got.findings[0].code == "strength.caution"
    assert all(c in got.findings[0].says for c in CAUTIONS)
    assert all("Not a homologation" in f.says for f in got.findings if f.code == "strength.case")


def test_a_leaf_is_held_against_the_published_yardsticks_and_they_are_never_a_must():
    got = _run()
    assert len(got.held) == 6
    assert not [f for f in got.findings if f.level is Level.MUST]
    assert {f.subject for f in _found(got, "strength.case")} == {"leaf.side"}


def test_hinge_and_latch_carry_the_push_between_them():
    """Statics: what they put on the leaf is what pushes on it, in all three directions."""
    got = _run(load=_push(1000.0))
    k = next(i for i, h in enumerate(got.held) if h.case.name == "push")
    from barwright.strength.joints_use import force_at

    put = sum(
        force_at(got.answer, nodes["side"], k)
        for nodes in (got.model.hinge_nodes, got.model.latch_nodes)
    )
    np.testing.assert_allclose(put, -np.array(got.held[k].case.force), atol=1e-6)
    held = got.held[k]
    assert held.hinge > 400.0
    assert held.latch > 400.0


def search_far(monkeypatch):
    """Buckling loads however far: no bound is taken for an answer."""
    monkeypatch.setattr(check_module, "FAR", 1e9)


def test_buckling_nearer_than_ten_times_is_searched_for():
    held = {h.case.name: h for h in _run().held}
    assert not held["side: r11-hinge"].buckling_beyond
    assert 1.0 < held["side: r11-hinge"].buckling < 10.0


def test_buckling_far_beyond_all_else_is_a_bound(monkeypatch):
    near = _own(_run(load=_push(2000.0)))
    search_far(monkeypatch)
    exact = _own(_run(load=_push(2000.0)))
    assert near.buckling_beyond
    assert not exact.buckling_beyond
    assert 10.0 <= near.buckling < exact.buckling
    assert near.factor == pytest.approx(exact.factor)
    assert near.governs == exact.governs


def test_twice_the_push_stands_half_as_often(monkeypatch):
    search_far(monkeypatch)
    one, two = (_own(_run(load=_push(f))) for f in (2000.0, 4000.0))
    assert one.collapse == pytest.approx(2 * two.collapse, rel=0.03)
    assert one.buckling == pytest.approx(2 * two.buckling, rel=1e-6)
    assert two.yields.share == pytest.approx(2 * one.yields.share, rel=0.03)
    safe = _own(_run(load=_push(2000.0), strength=replace_(HELD, safety=2.0)))
    assert safe.yields.share == pytest.approx(two.yields.share)


def replace_(table: StrengthTable, **how) -> StrengthTable:
    return table.model_copy(update=how)


def test_a_push_of_its_own_that_folds_the_side_is_a_must_and_says_what_to_do():
    got = _run(load=_push(40_000.0))
    (said,) = [f for f in got.findings if f.subject == "load.push"]
    assert said.level is Level.MUST
    assert said.measured < 100.0
    assert "times its strength" in said.remedy
    eased = _run(load=_push(40_000.0, must=False))
    assert next(f for f in eased.findings if f.subject == "load.push").level is Level.LOOK


def test_bending_for_good_is_for_a_person_to_look_at():
    levels = set()
    for force in (1000.0, 6500.0, 7000.0, 7500.0, 8000.0, 60_000.0):
        got = _run(load=_push(force))
        held = _own(got)
        (said,) = [f for f in got.findings if f.subject == "load.push"]
        if held.factor < 1.0:
            assert said.level is Level.MUST
        else:
            assert said.level is (Level.LOOK if held.yields.share > 1.0 else Level.GOOD)
        levels.add(said.level)
    assert {Level.GOOD, Level.MUST} <= levels


def test_collapse_of_the_leaf_bar_is_near_the_textbook_beam():
    """The bar is a beam on hinge and latch, nearly pinned: 4 Mp / L for its middle (virtual work),
    raised a little by what the hinge clamps and lowered by what push there is along it.
    """
    stiff = StrengthTable(held=(*"ABCDEF",), welded=False)
    held = _own(_run(load=_push(10_000.0), strength=stiff))
    section = 38.1, 38.1 - 2 * 2.413
    mp = (section[0] ** 3 - section[1] ** 3) / 6 * 379.2
    collapse = held.collapse * 10_000.0
    span = math.dist((840, 500), (60, 500))
    assert 0.75 * 4 * mp / span < collapse < 1.5 * 4 * mp / span


def test_a_rule_by_name_pushes_as_hard_as_it_says():
    got = _run(load={"push": LoadTable(on="upper", rule="214-initial")})
    held = _own(got)
    assert np.linalg.norm(held.case.force) == pytest.approx(10008.5, abs=0.1)
    assert "from memory" in held.case.source


def test_directions():
    def force(**how):
        found = cases(job(load={"push": LoadTable(force="1 kN", **how)}), BARS, (MOTION,))
        return found[0].force

    assert force(on="upper", push="in") == pytest.approx((0, -1000, 0))
    assert force(on="upper", push="out") == pytest.approx((0, 1000, 0))
    assert force(on="floor-rear", where=0.9, push="in") == pytest.approx((0, 1000, 0))
    assert force(on="rail", push="down") == pytest.approx((0, 0, -1000))
    assert force(at="C", push=[3, 0, 4]) == pytest.approx((600, 0, 800))


def test_the_moved_shape_can_be_drawn():
    got = _run(load=_push(1000.0))
    runs, moves = dict(runs_of(got)), moves_of(got, 0)
    assert list(runs) == [b.name for b in BARS.bars]
    assert moves.shape == got.model.mesh.nodes.shape
    last = list(runs[BARS.bars[-1].name])
    assert got.model.mesh.nodes[last[0]] == pytest.approx((840, 500, 600))
    assert moves[last, 1].min() < -0.1  # pushed in


def test_nothing_to_say_without_loads_and_leaves():
    assert analyse(job(strength=HELD), BARS, (), PARTS).findings == ()


def test_how_it_is_held_is_taken_for_granted_aloud():
    (said,) = _found(analyse(job(), BARS, (MOTION,), PARTS), "strength.held")
    assert said.level is Level.LOOK
    assert "sill" in said.says


def test_a_leaf_without_a_latch_is_left_out_and_said_so():
    bare = LEAF.model_copy(update={"latch": None})
    got = _run(leaf=bare, load={"push": LoadTable(on="hoop", force="1 kN")})
    assert _found(got, "strength.no-latch")
    assert not _found(got, "strength.not-held")  # once is enough for six published pushes
    assert [h.case.name for h in got.held] == ["push"]
    assert [h.case.name for h in got.held] == ["push"]


def test_a_bar_that_touches_nothing_is_left_out_and_said_so():
    from side_scene import MARKS

    MARKS.update({"X": (3000.0, 0, 0), "Y": (3000.0, 0, 900)})
    stray = Bars(bars=(*BARS.bars, built("stray", "X", "Y")))
    got = analyse(job(strength=HELD), stray, (MOTION,), PARTS)
    assert [f.subject for f in _found(got, "strength.loose")] == ["bar.stray"]
    assert len(got.held) == 6


def test_an_unknown_steel_is_taken_as_the_weakest():
    weak, known = (_own(_run(load=_push(2000.0), steel=s)) for s in ("unobtainium", "erw-1010"))
    assert weak.yields.share == pytest.approx(known.yields.share)
    (said,) = _found(_run(steel="unobtainium"), "strength.steel")
    assert "unobtainium" in said.says


def test_welds_lower_what_was_cold_drawn():
    load = {"push": LoadTable(on="rail", where=0.0, push="forward", force="9 kN")}
    lowered, full = (
        _own(_run(load=load, strength=replace_(HELD, welded=w))) for w in (True, False)
    )
    assert lowered.collapse < full.collapse


def test_springy_joints_move_more():
    load = {"push": LoadTable(on="rail", where=0.5, push="in", force="1 kN")}
    stiff, soft = (_own(_run(load=load, strength=replace_(HELD, joint=k))) for k in (None, 20.0))
    assert soft.shift.share > 1.05 * stiff.shift.share
    nearly = _own(_run(load=load, strength=replace_(HELD, joint=1e6)))
    assert nearly.shift.share == pytest.approx(stiff.shift.share, rel=1e-3)


def test_without_hardware_the_bolts_are_not_judged():
    asked = job(strength=HELD, load=_push(1000.0))
    got = analyse(asked, BARS, (MOTION,), Parts())
    assert all(h.bolt is None for h in got.held)


@pytest.mark.parametrize(
    ("load", "entries"),
    [
        ({"p": LoadTable(on="uper", force="1 kN")}, ["load.p.on"]),
        ({"p": LoadTable(force="1 kN")}, ["load.p.on"]),
        ({"p": LoadTable(on="upper")}, ["load.p.force"]),
        ({"p": LoadTable(on="upper", force="1 kN", rule="214-peak")}, ["load.p.force"]),
        ({"p": LoadTable(at="Q", rule="nonsense")}, ["load.p.rule", "load.p.at"]),
        ({"p": LoadTable(on="upper"), "q": LoadTable(at="Z", force="1 N")}, None),
    ],
)
def test_loads_that_make_no_sense_are_refused_all_at_once(load, entries):
    with pytest.raises(BadInput) as caught:
        _run(load=load)
    got = [f.entry for f in caught.value.faults]
    assert got == (entries or ["load.p.force", "load.q.at"])


@pytest.mark.parametrize(
    ("strength", "entry"),
    [
        (StrengthTable(held=("A", "Q")), "strength.held"),
        (StrengthTable(bolt_grade="soft"), "strength.bolt_grade"),
    ],
)
def test_strength_tables_that_make_no_sense_are_refused(strength, entry):
    with pytest.raises(BadInput) as caught:
        _run(strength=strength)
    assert [f.entry for f in caught.value.faults] == [entry]


def test_a_frame_held_at_one_point_is_a_mechanism():
    got = _run(strength=StrengthTable(held=("A",)))
    assert [f.level for f in _found(got, "strength.mechanism")] == [Level.MUST]
    clamped = _run(strength=StrengthTable(held=("A",), clamped=True))
    assert not _found(clamped, "strength.mechanism")


def test_the_leaf_hangs_on_the_nearest_uprights():
    made = model(job(strength=HELD), BARS, (MOTION,))
    (hung,) = made.hangings
    assert (hung.hinge[1][0], hung.latch[1][0]) == ("pillar", "hoop")
    named = LEAF.model_copy(update={"hinge": LEAF.hinge.model_copy(update={"on": "rail"})})
    (other,) = model(job(strength=HELD, leaf=named), BARS, (MOTION,)).hangings
    assert other.hinge[1][0] == "rail"


def test_a_bent_bar_is_no_shorter_in_the_frame_than_on_the_bench():
    from barwright.geometry.path import length

    made = model(job(strength=HELD), BARS, (MOTION,))
    for bar, stations in zip(made.mesh.bars, made.mesh.stations, strict=True):
        assert stations[-1][0] == pytest.approx(length(bar.centreline))
    assert np.isfinite(made.mesh.centres).any()


def test_frozen_motion_of_a_twin_uses_its_own_bars():
    twin = replace(MOTION, leaf="side-twin", twin_of="side", bars=("upper-twin",))
    got = analyse(job(strength=HELD), BARS, (MOTION, twin), PARTS)  # bars of the twin not there
    assert len(got.held) == 6


def test_a_hinge_far_from_any_tube_is_said():
    from side_scene import MARKS

    MARKS.update({"H2": (600.0, 500.0, 600.0)})
    bars = Bars(bars=(*BARS.bars[:-1], built("upper", "H2", "L")))
    motion = replace(MOTION, through=MARKS["H2"])
    (said,) = _found(analyse(job(strength=HELD), bars, (motion,), PARTS), "strength.span")
    assert said.measured == pytest.approx(300.0 - 19.05, abs=5.0)


def test_a_push_beyond_buckling_still_gives_numbers():
    got = _run(load={"push": LoadTable(at="C", push="down", force="3000 kN")})
    held = _own(got)
    assert not held.stable
    assert held.factor < 1.0
    (said,) = [f for f in got.findings if f.subject == "load.push"]
    assert said.level is Level.MUST
    assert "no second-order answer" in said.says


def test_mirrored_it_is_the_same(monkeypatch):
    """The whole side mirrored in the centre plane, hinge axis and all, stands the same loads."""
    from barwright.geometry.path import moved
    from barwright.geometry.pose import mirrored

    def flip(bar):
        a, b = (
            replace(e, origin=(e.origin[0], -e.origin[1], e.origin[2]))
            for e in (bar.start, bar.finish)
        )
        return replace(bar, centreline=moved(bar.centreline, mirrored()), start=a, finish=b)

    search_far(monkeypatch)
    there = Bars(bars=tuple(flip(b) for b in BARS.bars))
    motion = replace(MOTION, through=(840.0, -500.0, 600.0), along=(0.0, 0.0, 1.0))
    one = analyse(job(strength=HELD), BARS, (MOTION,), PARTS)
    two = analyse(job(strength=HELD), there, (motion,), PARTS)
    for a, b in zip(one.held, two.held, strict=True):
        assert a.yields.share == pytest.approx(b.yields.share, rel=1e-6)
        assert a.buckling == pytest.approx(b.buckling, rel=1e-6)
        assert a.collapse == pytest.approx(b.collapse, rel=1e-3)


def test_a_finer_mesh_says_the_same(monkeypatch):
    from barwright.strength import mesh

    search_far(monkeypatch)
    coarse = _own(_run(load=_push(5000.0)))
    monkeypatch.setattr(mesh, "PARTS", 12)
    fine = _own(_run(load=_push(5000.0)))
    assert coarse.yields.share == pytest.approx(fine.yields.share, rel=2e-3)
    assert coarse.buckling == pytest.approx(fine.buckling, rel=5e-3)
    assert coarse.collapse == pytest.approx(fine.collapse, rel=0.02)


def test_a_small_bead_is_said_and_carries_less():
    full = _own(_run(load=_push(3000.0)))
    thin = _run(load=_push(3000.0), strength=replace_(HELD, bead=2.0))
    assert [f.subject for f in _found(thin, "strength.bead")] == ["stock.side"]
    # A leg of 2 mm has a throat of 1.414 mm, against one as thick as the 2.413 mm wall.
    assert _own(thin).weld.share == pytest.approx(full.weld.share * 2.413 / (0.5**0.5 * 2.0))


def test_a_thin_wall_is_said():
    bars = Bars(bars=tuple(replace(b, wall=0.8) for b in BARS.bars))
    (said,) = _found(analyse(job(strength=HELD), bars, (MOTION,), PARTS), "strength.thin-wall")
    assert said.allowed == pytest.approx(50 * 235 / 379.2, rel=1e-3)
    assert "1.2" in said.remedy  # 38.1 fy / (50 · 235)


def test_sizes_of_a_rule_book_are_held_against_each_stock():
    got = _run(strength=replace_(HELD, tubes="fia-2009-main"))
    assert [f.level for f in _found(got, "strength.tube-size")] == [Level.LOOK]
    good = _run(strength=replace_(HELD, tubes="fia-2009-other"))
    assert [f.level for f in _found(good, "strength.tube-size")] == [Level.GOOD]


def test_a_leaf_that_is_no_vehicle_door_only_carries_what_the_job_says():
    loaded = analyse(job(strength=HELD, load=_push(2000.0), door=False), BARS, (MOTION,), PARTS)
    assert [h.case.name for h in loaded.held] == ["push"]
    assert not _found(loaded, "strength.no-load")
    bare = analyse(job(strength=HELD, door=False), BARS, (MOTION,), PARTS)
    assert bare.held == ()
    (said,) = _found(bare, "strength.no-load")
    assert 'doors = ["side"]' in said.remedy


def test_published_pushes_are_chosen_by_name():
    got = _run(strength=replace_(HELD, rules=("r11-latch", "214-peak")))
    assert [h.case.name for h in got.held] == ["side: r11-latch", "side: 214-peak"]
    with pytest.raises(BadInput, match="rules"):
        _run(strength=replace_(HELD, rules=("r11-lach",)))


def test_a_striker_bolts_arm_is_half_the_room_for_its_latch():
    """A latch 30 mm deep bends its bolt at 15 mm: the plain cantilever's moment arm."""
    from barwright.strength.joints_use import bolts_of

    def arm(dims):
        hardware = tuple(
            replace(h, dims=(*h.dims, *dims)) if h.name == "side.striker.bolt" else h
            for h in PARTS.hardware
        )
        return next(
            b.arm
            for b in bolts_of(replace(PARTS, hardware=hardware), "side", "8.8")
            if b.what == "latch"
        )

    assert arm((("arm", 15.0),)) == 15.0
    assert arm(()) == 7.0
