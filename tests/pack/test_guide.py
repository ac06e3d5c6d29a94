"""The build guide: receivers before what is coped against them, every thing once, cautions."""

import io
from dataclasses import replace
from types import SimpleNamespace

import pypdf
from made_up import Hardware, build

from barwright.geometry.solids import Body, Rod
from barwright.pack.guide import order, steps
from barwright.pack.guide_pages import guide_pdf

BOLT = Hardware(
    name="side.hinge.bolt",
    what="bolt",
    dims=(("od", 12.0),),
    body=Body(
        name="side.hinge.bolt",
        solids=(Rod(start=(0.0, 430.0, 780.0), end=(0.0, 430.0, 840.0), radius=6.0),),
    ),
)


def test_a_bar_goes_up_after_what_it_is_coped_against():
    the_build = build()
    rounds = order(the_build.bars.bars)
    placed = set()
    for some in rounds:
        for bar in some:
            assert {*bar.start.against, *bar.finish.against} <= placed
        placed |= {bar.name for bar in some}
    assert placed == {bar.name for bar in the_build.bars.bars}


def test_bars_coped_against_each_other_in_a_ring_still_go_up():
    def bar(name, *against):
        end = SimpleNamespace(against=against)
        return SimpleNamespace(name=name, start=end, finish=SimpleNamespace(against=()))

    rounds = order((bar("a", "b"), bar("b", "a"), bar("c")))
    assert [[b.name for b in some] for some in rounds] == [["c"], ["a", "b"]]


def test_every_bar_plate_and_bought_thing_comes_in_once():
    the_build = build(hardware=(BOLT,))
    added = [name for step in steps(the_build, "metal") for name in step.adds]
    wanted = (
        [b.name for b in the_build.bars.bars]
        + [p.name for p in the_build.parts.parts]
        + [BOLT.name]
    )
    assert sorted(added) == sorted(wanted)


def test_the_pages_say_what_stands_in_the_way_and_who_decides():
    the_build = build(hardware=(BOLT,))
    text = " ".join(
        " ".join(
            p.extract_text()
            for p in pypdf.PdfReader(io.BytesIO(guide_pdf(the_build, "metal"))).pages
        ).split()
    )
    assert "Least gap 7.4 mm, at 17°" in text
    assert "comes within 7.4 mm of post-rear" in text
    assert text.count("This can kill") == len(steps(the_build, "metal"))
    assert "Pin and bushing" in text


def test_a_leaf_that_touches_is_said_first():
    the_build = build()
    touching = replace(
        the_build.swings[0], first_contact=0.5, touches=("upper", "post-rear"), least_clearance=0.0
    )
    said = steps(replace(the_build, swings=(touching,)), "metal")
    (opening,) = [s for s in said if s.title == "Open side"]
    assert "touches at 28.6°: upper on post-rear" in opening.says[1]


def test_board_is_glued_and_metal_is_tacked():
    for stage, word in (("board", "Glue or tape"), ("metal", "Tack it")):
        fits = [s for s in steps(build(), stage) if s.title.startswith("Fit ")]
        assert fits
        assert all(any(word in line for line in s.says) for s in fits)


def test_the_steps_worked_out_by_the_build_up_are_the_guide_s_with_holds_and_signatures():
    from barwright.buildup.results import Buildup
    from barwright.buildup.results import Step as Known

    made = build()
    part = made.parts.parts[0].name
    known = Known(
        title="Tack the cheek",
        says=("Slide it on from above.",),
        adds=(part,),
        explode=((part, (0.0, 0.0, 1.0)),),
        hold="The pin goes in by hand",
        checks=("Pin turns freely",),
    )
    object.__setattr__(made, "buildup", Buildup(steps=(known,)))
    assert [s.title for s in steps(made, "metal")][1:-1] == ["Tack the cheek"]
    assert "Tack the cheek" not in [s.title for s in steps(made, "board")]
    page = pypdf.PdfReader(io.BytesIO(guide_pdf(made, "metal"))).pages[1].extract_text()
    for words in ("HOLD: The pin goes in by hand", "Pin turns freely", "Checked by"):
        assert words in page
