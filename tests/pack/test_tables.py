"""The lists: what is in them, in which unit, and what no spreadsheet may run."""

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st
from made_up import Hardware, build

from barwright.geometry.solids import Body
from barwright.pack.listing import plate_masses
from barwright.pack.names import check_apart, file_name
from barwright.pack.tables import csv_bytes, cut_list, hardware_list, harmless, order_sheet


def rows(data):
    return list(csv.DictReader(io.StringIO(data.decode("utf-8-sig"))))


def test_the_cut_list_is_in_the_job_s_unit_and_millimetres():
    brace = next(r for r in rows(cut_list(build("in"))) if r["bar"] == "brace")
    bar = build("in").bars.named("brace")
    assert float(brace["cut length [in]"]) == pytest.approx(bar.cut_length / 25.4, abs=5e-4)
    assert float(brace["cut length [mm]"]) == pytest.approx(bar.cut_length, abs=0.05)
    assert brace["cut length [tape]"] == "47 19/32"
    assert brace["from against"] == "post-rear"
    assert len(brace["straights [in]"].split()) == len(brace["bends [deg]"].split()) + 1


def test_a_metric_job_says_each_length_once():
    (head, *_) = cut_list(build("mm")).decode("utf-8-sig").splitlines()
    assert head.count("cut length [mm]") == 1


def test_the_order_sheet_names_file_bends_and_weight():
    the_build = build()
    names = {p.name: f"flat/{p.name}.dxf" for p in the_build.parts.parts}
    sheet = rows(order_sheet(the_build, plate_masses(the_build), names))
    gusset = next(r for r in sheet if r["part"] == "striker.gusset")
    assert gusset["file"] == "flat/striker.gusset.dxf"
    assert gusset["bend calls (seen side)"] == "UP 90.0° R3.00; DOWN 60.0° R3.00"
    assert float(gusset["mass [kg]"]) == pytest.approx((9600 - 113.1) * 3 * 7.85e-6, abs=1e-3)


def test_hardware_is_counted_by_kind():
    def bushing(name):
        return Hardware(
            name=name, what="bushing", dims=(("od", 28.6),), body=Body(name=name, solids=())
        )

    the_build = build(hardware=(bushing("a"), bushing("b")))
    (row,) = rows(hardware_list(the_build))
    assert (row["what"], row["quantity"], row["for"]) == ("bushing", "2", "a b")


@given(st.text())
def test_no_cell_starts_a_formula(text):
    cell = harmless(text)
    assert cell == text or cell == "'" + text
    if cell[:1] in {"=", "+", "-", "@"}:
        float(cell)


@given(
    st.lists(
        st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\x00")),
        min_size=2,
        max_size=4,
    )
)
def test_any_text_comes_back_as_one_row(cells):
    table = csv_bytes(["a"] * len(cells), [cells]).decode("utf-8-sig")
    back = list(csv.reader(io.StringIO(table, newline="")))
    assert back[1] == [harmless(c) for c in cells]


@given(st.text(min_size=1, max_size=80))
def test_a_file_name_stays_in_its_folder(text):
    from barwright.job.errors import BadInput

    try:
        name = file_name(text)
    except BadInput:
        return
    assert name not in {"", ".", ".."}
    assert not set(name) & set('/\\:*?"<>|\0')
    assert len(name.encode()) <= 121
    assert file_name(name) == name


def test_names_apart_by_capitals_alone_are_refused():
    from barwright.job.errors import BadInput

    with pytest.raises(BadInput, match="rename one"):
        check_apart("part", ["Gusset", "gusset"])
    check_apart("part", ["gusset-1", "gusset-2"])
