"""Of what stands on the vehicle nothing is bought, sawn, bent, wrapped, weighed or put up."""

import csv
import io
from dataclasses import replace

import pypdf
import pytest
from made_up import build

from barwright.job.schema import Standing
from barwright.pack.bend_pages import bends_pdf
from barwright.pack.compare import compare
from barwright.pack.cutting_pages import cutting_files
from barwright.pack.guide import steps
from barwright.pack.summary import summary_pdf
from barwright.pack.tables import cut_list, stock_list
from barwright.pack.version import version_of
from barwright.pack.write import make
from barwright.tubes.make import make as make_bars


def standing(*names, unit="mm"):
    """The made-up build, with some of its bars on the vehicle already."""
    made = build(unit)
    job = made.job.model_copy(update={"standing": Standing(bars=names)})
    return replace(made, job=job, bars=make_bars(job, made.marks))


POSTS = ("post-rear", "post-front")


def rows(data):
    return list(csv.DictReader(io.StringIO(data.decode("utf-8-sig"))))


def text_of(pdf):
    pages = pypdf.PdfReader(io.BytesIO(pdf)).pages
    return " ".join(" ".join(p.extract_text() for p in pages).split())


def test_lists_hold_what_is_made():
    made = standing(*POSTS)
    assert [r["bar"] for r in rows(cut_list(made))] == ["brace", "upper"]
    (stock,) = rows(stock_list(made))
    assert (stock["pieces"], stock["buy"]) == ("2", "1")
    wanted = [made.bars.named(n) for n in ("brace", "upper")]
    assert float(stock["mass [kg]"]) == pytest.approx(sum(b.mass for b in wanted), abs=0.01)


def test_saw_and_bender_see_what_is_made_and_are_told_what_stands():
    made = standing(*POSTS)
    files, _ = cutting_files(made)
    assert {r["piece"] for r in rows(files["lists/cut-plan.csv"])} == {"brace", "upper"}
    said = text_of(files["sheets/cutting.pdf"])
    assert "stand on the vehicle: post-rear, post-front" in said
    assert bends_pdf(standing("brace")) is None


def test_templates_are_printed_for_what_is_made():
    of_all, of_some = (make(b).files for b in (build(), standing("brace")))
    assert "templates/tube-ends.pdf" in of_all
    assert "templates/tube-ends.pdf" not in of_some


def test_a_pack_where_everything_stands_has_plates_and_no_tube_work():
    made = make(standing(*(b.name for b in build().bars.bars)))
    gone = {"lists/cut-list.csv", "lists/cut-plan.csv", "lists/stock.csv", "sheets/bending.pdf"}
    assert not gone & {*made.files}
    assert {"flat/striker.gusset.dxf", "guide.pdf", "summary.pdf"} <= {*made.files}


def test_the_guide_begins_with_what_stands_and_never_puts_it_up():
    said = steps(standing(*POSTS), "metal")
    assert said[0].title == "What stands already"
    assert "post-rear, post-front" in said[0].says[0]
    assert not {*POSTS} & {name for step in said for name in step.adds}
    assert "brace" in {name for step in said for name in step.adds}


def test_the_guide_tells_cut_lengths_where_the_build_up_has_its_own_words():
    from barwright.buildup.results import Buildup, Step

    made = build("in")
    step = Step(
        title="Put up brace", says=("brace: bring it in from above.", "Tack."), adds=("brace",)
    )
    object.__setattr__(made, "buildup", Buildup(steps=(step,)))
    (told,) = [s for s in steps(made, "metal") if s.title == "Put up brace"]
    bar = made.bars.named("brace")
    assert told.says[0].startswith(
        f"brace: {bar.cut_length / 25.4:.3f} in (47 19/32 by tape), 1 bend;"
    )
    assert told.says[0].endswith("Bring it in from above.")
    assert told.says[1] == "Tack."


def test_the_last_look_comes_before_the_welds_the_build_up_names():
    from barwright.buildup.results import Buildup, Step

    made = build()
    known = (Step(title="Put up", adds=("brace",)), Step(title="Weld out", state="weld"))
    object.__setattr__(made, "buildup", Buildup(steps=known))
    titles = [s.title for s in steps(made, "metal")]
    assert titles[-3:] == ["Put up", "Before you weld out", "Weld out"]


def test_the_summary_counts_what_is_made():
    text = text_of(summary_pdf(standing(*POSTS), "0" * 64, "metal"))
    assert "to make: 2 bars with 1 bend," in text
    assert "standing already: 2 bars" in text


def test_what_stands_is_not_made_again_when_it_was_measured_anew():
    from barwright.pack.version import Version

    def shorter(version: Version, name: str) -> Version:
        bars = dict(version.bars)
        bars[name] = {**bars[name], "cut_length": bars[name]["cut_length"] - 3.0}
        return replace(version, bars=bars)

    there, to_make = version_of(standing(*POSTS)), version_of(build())
    assert compare(shorter(there, "post-rear"), there).changes == ()
    (change,) = compare(shorter(to_make, "post-rear"), to_make).changes
    assert change.again
    now_made = compare(version_of(standing(*POSTS)), version_of(build())).changes
    assert {c.name for c in now_made if c.again} == {*POSTS}
    now_there = compare(version_of(build()), version_of(standing(*POSTS))).changes
    assert {c.name for c in now_there} == {*POSTS}
    assert not any(c.again for c in now_there)
