"""What the sheets say: rolls, twist marks, hole saws, rotary cuts, leaves, tabs, sheets."""

import csv
import io
import math
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pypdf
import pytest
from made_up import BRACKET, CHEEK, build
from shapely.geometry import Polygon

from barwright.fits.chance_result import Again, Decides, FirstFit, Open, PartChance
from barwright.job.load import parse
from barwright.pack.bend_pages import bends_pdf, roll_words
from barwright.pack.cutting_pages import cutting_files
from barwright.pack.drawing import CUT, Loop
from barwright.pack.nest import plans
from barwright.pack.order_pages import _for_paper
from barwright.pack.rotary import rotary_cuts
from barwright.pack.summary import summary_pdf
from barwright.pack.tables import cut_list, reach
from barwright.pack.wrap import wraps_of
from barwright.pack.wrap_pages import saw_words
from barwright.plates.part import Loop as PartLoop
from barwright.survey.solve import solve
from barwright.tubes.make import make
from barwright.tubes.wrap import twist_angles

JOB = """
[stock.main]
od = 38.1
wall = 2.4
[bender.main]
clr = 90
springback = [[10, 11], [90, 95]]
[bar.post]
stock = "main"
path = ["A", "B"]
[bar.wound]
stock = "main"
path = ["C", "D", "E", "F"]
[bar.beforehand]
stock = "main"
prebent = { straights = [300, 420], bends = [20], turns = [] }
from = "G"
to = "H"
"""
READINGS = """kind,marks,value
fixed,A,0 0 -500
fixed,B,0 0 500
fixed,C,0 0 0
fixed,D,500 0 0
fixed,E,500 500 0
fixed,F,500 853.55 500
fixed,G,0 900 0
fixed,H,660 900 0
"""


def made(unit="mm"):
    """A post, a bar with two bends coped to it, and a bar that was bent beforehand."""
    job = parse(JOB, READINGS)
    job = job.model_copy(update={"job": job.job.model_copy(update={"unit": unit})})
    return SimpleNamespace(job=job, bars=make(job, solve(job.readings)), motions=())


def rows(data):
    return list(csv.DictReader(io.StringIO(data.decode("utf-8-sig"))))


def text_of(pdf):
    pages = pypdf.PdfReader(io.BytesIO(pdf)).pages
    return " ".join(" ".join(p.extract_text() for p in pages).split())


def test_a_roll_says_which_way_and_from_where():
    the_build = made()
    bar = the_build.bars.named("wound")
    text = text_of(bends_pdf(the_build))
    assert roll_words(bar.table.turns[0]) in text
    assert "stand behind the tube, at its “to” end, look at the die" in text


def test_the_roll_s_sense_is_what_brings_the_next_bend_into_the_die():
    """Rolled so, seen from behind, the later bend's plane comes where the first one's was."""
    bar = made().bars.named("wound")
    first, second = (p for p in bar.centreline.pieces if hasattr(p, "axis"))
    along = np.cross(second.axis, np.subtract(second.start, second.centre))
    along = along / np.linalg.norm(along)  # the way the tube runs between its bends
    # who stands behind looks along -along: clockwise there is the right hand about -along
    roll = bar.table.turns[0]
    c, s, k = math.cos(roll), math.sin(roll), -along
    a = np.array(second.axis)
    rolled = a * c + np.cross(k, a) * s + k * (k @ a) * (1.0 - c)
    assert rolled == pytest.approx(np.array(first.axis), abs=1e-9)
    assert roll_words(roll).endswith("anticlockwise" if roll < 0.0 else " clockwise")


@pytest.mark.parametrize("which", ["from", "to"])
def test_each_bend_s_inside_is_marked_on_the_template(which):
    """The nearest by the pack's own geometry, the others by the tubes': they count alike."""
    bar = made().bars.named("wound")
    cope = np.linspace(0.0, 9.0, 360)
    bar = replace(bar, start=replace(bar.start, cope=cope), finish=replace(bar.finish, cope=cope))
    wrap = next(w for w in wraps_of(bar) if w.end == which)
    near, far = (math.degrees(a) % 360.0 for a in twist_angles(bar, which))
    assert math.cos(math.radians(wrap.guide[0] - near)) == pytest.approx(1.0, abs=1e-9)
    ((degrees, name),) = wrap.twists
    assert degrees == pytest.approx(far)
    assert name == ("BEND 2" if which == "from" else "BEND 1")


def test_a_square_cope_is_a_hole_saw_s_work():
    the_build = made()
    bar = the_build.bars.named("wound")
    said = saw_words(the_build.bars, bar, "from", "mm")
    assert said.startswith("Hole saw 38.1 mm: 90.0° to the tube (90° is square), on centre")
    assert saw_words(the_build.bars, bar, "from", "in").startswith("Hole saw 1 1/2 in:")
    assert saw_words(the_build.bars, bar, "to", "mm") == ""


def test_a_rotary_cutter_gets_the_closed_form_at_each_degree():
    """Equal tubes square to one another: R - R |cos| off the deepest, outside; R's own depth."""
    the_build = made()
    found = [r for r in rows(rotary_cuts(the_build)) if r["bar"] == "wound"]
    assert len(found) == 361
    cut = np.array([float(r["“from” end at [mm]"]) for r in found])
    bar = the_build.bars.named("wound")
    assert cut[:360] == pytest.approx(bar.start.cope - bar.start.cope.min(), abs=6e-3)
    assert {r["bar"] for r in rows(rotary_cuts(the_build))} == {"wound"}  # no square, no bent one


def test_a_bar_bent_beforehand_is_cut_and_not_bent_or_sawn():
    the_build = made(unit="in")
    (bar,) = [r for r in rows(cut_list(the_build)) if r["bar"] == "beforehand"]
    assert bar["work"].startswith("bent already, cut 0.000 in off “from” and ")
    text = text_of(bends_pdf(the_build))
    assert "Cut beforehand to length" in text
    assert "Bend beforehand" not in text
    the_build.parts = SimpleNamespace(parts=())
    files, _ = cutting_files(the_build)
    assert "beforehand" not in {r["piece"] for r in rows(files["lists/cut-plan.csv"])}
    assert "Bent already, cut to length by their own sheets: beforehand." in text_of(
        files["sheets/cutting.pdf"]
    )


def test_the_summary_tells_leaf_fit_and_what_to_measure():
    first = FirstFit(
        chance=0.62,
        sampling_error=0.003,
        about="leaf side",
        parts=(PartChance(name="side", chance=0.71, sampling_error=0.003, counts=True),),
        decides=(Decides(name="mark H", gain=0.12, share=0.5, source="survey"),),
        measure_again=(Again(kind="tape", marks=("H", "I"), line=7, gain=0.031),),
        open_gap=(Open(what="leaf.side.latch clearance", by=2.0, gain=0.2),),
        samples=20_000,
    )
    the_build = replace(build(), first_fit=first)
    pdf = summary_pdf(the_build, "0" * 64, "metal")
    assert len(pypdf.PdfReader(io.BytesIO(pdf)).pages) == 1
    text = text_of(pdf)
    for words in (
        "7.4 mm at 17°: upper to post-rear",
        "71 %",
        "Chance that leaf side fits the first time: 62 % (± 0.3 %).",
        "mark H (+12 %)",
        "open leaf.side.latch clearance by 2.0 mm (+20 %)",
        "tape H I, line 7 again (+3.1 %)",
        "This can kill",
    ):
        assert words in text, words


def test_a_leaf_that_touches_says_so_in_the_table():
    the_build = build()
    swing = replace(the_build.swings[0], first_contact=0.5, touches=("upper", "post-rear"))
    text = text_of(summary_pdf(replace(the_build, swings=(swing,)), "0" * 64, "metal"))
    assert "upper on post-rear at 28.6°" in text


def test_break_off_tabs_are_drawn_and_counted_on_the_order_sheet():
    tab = PartLoop(
        vertices=((40.0, -1e-7, 0.0), (80.0, -1e-7, 0.0), (80.0, -15.0, 0.0), (40.0, -15.0, 0.0))
    )
    tab = replace(tab, vertices=tab.vertices[::-1])
    plain, tabbed = BRACKET, replace(BRACKET, gauge=(tab,))

    def area(part):
        loops = [it for it in _for_paper(part) if isinstance(it, Loop) and it.layer == CUT]
        return max(Polygon([v[:2] for v in it.vertices]).area for it in loops)

    assert area(tabbed) - area(plain) == pytest.approx(40.0 * 15.0, rel=1e-4)
    assert reach(plain) == pytest.approx((120.0, 80.0))
    assert reach(tabbed) == pytest.approx((120.0, 95.0), abs=1e-3)


def test_parts_are_laid_out_on_the_sheets_there_are():
    sizes = {("a36", CHEEK.thickness): ((900.0, 500.0), (150.0, 100.0))}
    (sheet,), left = plans((CHEEK,), sizes=sizes)
    assert (sheet.size, left) == ((150.0, 100.0), ())
    three = (CHEEK, replace(CHEEK, name="b"), replace(CHEEK, name="c"))
    (sheet,), _ = plans(three, sizes=sizes)
    assert sheet.size == (900.0, 500.0)
    none, left = plans((CHEEK,), sizes={("a36", CHEEK.thickness): ((60.0, 40.0),)})
    assert (none, left) == ((), (CHEEK.name,))
    (sheet,), _ = plans((CHEEK,), sizes={("5052", CHEEK.thickness): ((60.0, 40.0),)})
    assert sheet.size == (600.0, 300.0)
