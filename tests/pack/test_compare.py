"""Two versions of a job held against each other, from builds and from packs on the disk."""

import io
import json
from dataclasses import replace

import pypdf
import pytest
from made_up import BRACKET, CHEEK, build, circle

from barwright.job.errors import BadInput
from barwright.pack import contents
from barwright.pack.compare import CUTS_ALIKE, compare, farthest
from barwright.pack.compare_pages import comparison_pdf
from barwright.pack.version import read_version, version_at, version_of
from barwright.pack.write import write
from barwright.plates.part import Loop


@pytest.fixture(autouse=True)
def flats_alone(monkeypatch):
    """Packs with nothing in them but what is compared, since many are written here."""
    every = contents.steps
    monkeypatch.setattr(
        contents, "steps", lambda *a: [s for s in every(*a) if s.what == "flat patterns"]
    )


def stretched(part, by):
    v = part.outline.vertices
    return replace(
        part, outline=Loop(vertices=(v[0], *((x + by, y, b) for x, y, b in v[1:3]), *v[3:]))
    )


def test_nothing_changed(tmp_path):
    write(build(), tmp_path / "old")
    found = compare(read_version(tmp_path / "old"), version_of(build()))
    assert found.changes == ()
    assert found.same == 6


def test_an_outline_that_moved_is_measured_and_ordered_again(tmp_path):
    write(build(), tmp_path / "old")
    write(build(parts=(CHEEK, stretched(BRACKET, 2.5))), tmp_path / "new")
    found = compare(read_version(tmp_path / "old"), read_version(tmp_path / "new"))
    (change,) = found.changes
    assert (change.name, change.what, change.again) == (BRACKET.name, "changed", True)
    # laid middle on middle the ends part by half, and the hole with them
    assert 1.2 < change.most <= 2.5 + 1e-6
    assert "area +200.0 mm²" in change.says[0]
    assert found.again == (change,)


def test_a_change_below_what_a_laser_holds_is_told_but_not_ordered():
    found = compare(
        version_of(build()), version_of(build(parts=(CHEEK, stretched(BRACKET, 0.4 * CUTS_ALIKE))))
    )
    (change,) = found.changes
    assert not change.again
    assert found.again == ()


def test_a_part_drawn_elsewhere_in_its_own_frame_is_the_same():
    away = replace(
        CHEEK,
        outline=Loop(vertices=tuple((x + 500, y - 30, b) for x, y, b in CHEEK.outline.vertices)),
        holes=(circle(530.0, 0.0, 9.5), circle(570.0, 0.0, 4.0)),
    )
    assert compare(version_of(build()), version_of(build(parts=(away, BRACKET)))).changes == ()


def test_new_gone_thicker_and_holed_parts_are_named():
    new = (
        replace(CHEEK, thickness=6.0),
        replace(BRACKET, holes=()),
        replace(CHEEK, name="side.hinge.cheek-2"),
    )
    found = {c.name: c for c in compare(version_of(build()), version_of(build(parts=new))).changes}
    assert found["side.hinge.cheek"].says == ("thickness: 5.0 -> 6.0",)
    assert "holes 1 -> 0" in found["striker.gusset"].says
    assert found["side.hinge.cheek-2"].what == "new"
    back = compare(version_of(build(parts=new)), version_of(build()))
    assert {c.name for c in back.changes if c.what == "gone"} == {"side.hinge.cheek-2"}
    assert "side.hinge.cheek-2" not in {c.name for c in back.again}


def test_a_bent_otherwise_or_longer_bar_is_made_again():
    old = build()
    brace = old.bars.named("brace")
    table = replace(brace.table, bends=(brace.table.bends[0] + 0.02,))
    longer = replace(brace, cut_length=brace.cut_length + 3.0, table=table)
    bars = tuple(longer if b.name == "brace" else b for b in old.bars.bars)
    (change,) = compare(
        version_of(old), version_of(replace(old, bars=replace(old.bars, bars=bars)))
    ).changes
    assert change.again
    assert change.most == pytest.approx(3.0)
    assert "cut length +3.00 mm" in change.says[0]
    assert "bends +1.15 deg" in change.says[1]


def test_the_pdf_lists_first_and_draws_each_changed_plate():
    found = compare(version_of(build()), version_of(build(parts=(CHEEK, stretched(BRACKET, 4.0)))))
    pages = pypdf.PdfReader(io.BytesIO(comparison_pdf(found))).pages
    assert len(pages) == 2
    assert "ORDER AGAIN" in pages[0].extract_text()
    assert "before" in pages[1].extract_text()


def test_an_inch_job_is_told_in_inches_on_its_own_paper():
    found = compare(
        version_of(build("in")), version_of(build("in", parts=(CHEEK, stretched(BRACKET, 25.4))))
    )
    (change,) = found.changes
    assert "area +3.150 in²" in change.says[0]  # an inch on 80 mm, 3.1496 in
    assert change.most > 12.0  # for programs, in mm
    page = pypdf.PdfReader(io.BytesIO(comparison_pdf(found))).pages[0]
    assert float(page.mediabox.width) == pytest.approx(612.0)


def test_what_must_be_ordered_comes_first_and_what_nobody_sees_is_one_line():
    little = stretched(BRACKET, 0.03)
    found = compare(
        version_of(build(parts=(replace(little, name="a"), BRACKET))),
        version_of(build(parts=(replace(BRACKET, name="a"), stretched(BRACKET, 4.0)))),
    )
    assert [c.name for c in found.changes] == ["a", "striker.gusset"]
    pages = pypdf.PdfReader(io.BytesIO(comparison_pdf(found))).pages
    text = " ".join(pages[0].extract_text().split())
    assert text.index("ORDER AGAIN") < text.index("less than anyone sees: a")
    assert len(pages) == 2  # nothing is drawn of what nobody sees


def test_the_place_where_edges_are_farthest_apart_is_found():
    """A corner pulled out by 3 and 4 lies 5 from the old outline's own corner."""
    v = BRACKET.outline.vertices
    pulled = replace(BRACKET, outline=Loop(vertices=(*v[:2], (123.0, 84.0, 0.0), v[3])), folds=())
    old, new = (version_of(build(parts=(p,))).drawings[p.name] for p in (BRACKET, pulled))
    at, far = farthest(old, new)
    assert far == pytest.approx(5.0, abs=1e-6)
    assert at == pytest.approx((123.0, 84.0), abs=1e-6)


def test_what_is_no_pack_or_a_broken_one_is_refused(tmp_path):
    with pytest.raises(BadInput, match="no manifest"):
        read_version(tmp_path)
    write(build(), tmp_path / "p")
    (tmp_path / "p" / "flat" / "striker.gusset.dxf").write_text("not a drawing")
    with pytest.raises(BadInput, match="pack that job again"):
        read_version(tmp_path / "p")


def test_a_manifest_that_points_out_of_the_pack_is_refused(tmp_path):
    write(build(), tmp_path / "p")
    path = tmp_path / "p" / "manifest.json"
    said = json.loads(path.read_text())
    said["parts"]["striker.gusset"]["file"] = "../../etc/passwd"
    path.write_text(json.dumps(said))
    with pytest.raises(BadInput, match="outside the pack"):
        read_version(tmp_path / "p")


JOB = """
[stock.main]
od = "38.1 mm"
wall = "2.4 mm"
[bar.rail]
stock = "main"
path = ["A", "B"]
"""


def test_a_job_folder_serves_as_well_as_a_pack(tmp_path):
    for name, x in (("old", 1000), ("new", 1012)):
        (tmp_path / name).mkdir()
        (tmp_path / name / "job.toml").write_text(JOB)
        rows = f"kind,marks,value,plus_minus,note\nfixed,A,0 0 0,,\nfixed,B,{x} 0 0,,\n"
        (tmp_path / name / "readings.csv").write_text(rows)
    (change,) = compare(version_at(tmp_path / "old"), version_at(tmp_path / "new")).changes
    assert change.again
    assert change.most == pytest.approx(12.0, abs=0.01)
