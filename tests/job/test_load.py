"""A job folder is read whole, or everything wrong with it is said at once."""

import math
from pathlib import Path

import pytest

from barwright.job.errors import BadInput, Fault
from barwright.job.load import load, parse

HERON = Path(__file__).parents[2] / "examples" / "heron"
HEADER = "kind,marks,value,plus_minus,note\n"
FIXED = HEADER + "fixed,A,0 0 0,,\nfixed,B,10 0 0,,\nfixed,C,10 0 10,,\nfixed,D,30 0 10,,\n"
TUBE = "[stock.main]\nod = 1.75\nwall = 0.095\n[bender.main]\nclr = 5.25\n"


def faults(toml: str = "", readings: str = "") -> tuple[Fault, ...]:
    with pytest.raises(BadInput) as refused:
        parse(toml, readings)
    return refused.value.faults


def only(found: tuple[Fault, ...]) -> Fault:
    (fault,) = found
    return fault


def write(folder: Path, *, toml: str | bytes | None = None, readings: str | bytes | None = None):
    for name, text in (("job.toml", toml), ("readings.csv", readings)):
        if text is not None:
            (folder / name).write_bytes(text.encode() if isinstance(text, str) else text)
    return folder


# ---- what is a whole job -----------------------------------------------------------------------


def test_the_heron_is_read_in_millimetres_and_radians():
    job = load(HERON)
    assert job.stock["main"].od == pytest.approx(44.45)
    assert job.leaf["side"].opens == pytest.approx(math.radians(100))
    assert len(job.readings) > 90
    assert load(HERON / "job.toml") == load(HERON / "readings.csv") == job
    assert hash(load(HERON)) == hash(job)


def test_readings_alone_are_a_job_in_millimetres(tmp_path):
    job = load(write(tmp_path, readings=HEADER + "height,A,10,,\n"))
    assert job.readings[0].value == 10.0
    assert job.readings[0].line == 2


def test_bars_on_fixed_marks_alone_are_a_job():
    job = parse(TUBE + "[bar.a]\nstock = 'main'\npath = ['A', 'C', 'D']\n", FIXED)
    assert job.bar["a"].path == ("A", "C", "D")
    assert job.readings[1].at == (10.0, 0.0, 0.0)


def test_a_bare_number_is_in_the_jobs_unit_everywhere():
    job = parse("job.unit = 'in'\n[stock.m]\nod = 1.75\nwall = '2 mm'\n", HEADER + "height,A,1,2,")
    assert job.stock["m"].od == 44.45
    assert job.stock["m"].wall == 2.0
    assert (job.readings[0].value, job.readings[0].plus_minus) == (25.4, 50.8)


def test_plus_minus_comes_from_the_row_then_the_job_then_practice():
    toml = "[default_plus_minus]\ntape = '1/16 in'\nincline = 0.4\n"
    rows = (
        HEADER + "tape,A B,10,2,\ntape,A B,10,,\nincline,A B,10,,\nheight,A,1,,\ncorner,A B C,9,,"
    )
    doubts = [r.plus_minus for r in parse(toml, rows).readings]
    assert doubts == pytest.approx([2.0, 1.5875, math.radians(0.4), 1.0, math.radians(0.5)])


def test_no_folder_and_an_empty_folder_are_told_apart(tmp_path):
    for path, read in ((tmp_path / "gone", "no such folder"), (tmp_path, "a folder with neither")):
        with pytest.raises(BadInput) as refused:
            load(path)
        assert only(refused.value.faults).read == read
        assert "barwright new" in only(refused.value.faults).do


def test_a_symbolic_link_is_followed(tmp_path):
    (tmp_path / "link").symlink_to(HERON)
    assert load(tmp_path / "link") == load(HERON)


# ---- readings.csv as spreadsheets and people write it -----------------------------------------


@pytest.mark.parametrize(
    "text",
    [
        "\ufeff" + HEADER + "tape,A B,10,,\n",
        (HEADER + "tape,A B,10,,\n").replace("\n", "\r\n"),
        (HEADER + "tape,A B,10,,\n").replace("\n", "\r"),
        "# said first\n\n" + HEADER + "\n,,,,\n # between\ntape,A B,10,,\n\n",
        "kind;marks;value;plus_minus;note\ntape;A B;10;;\n",
        "kind\tmarks\tvalue\ntape\tA B\t10\n",
        "note,Value,MARKS,Kind\n,10,A B,Tape\n",
        "kind, marks, value, plus/minus\ntape,  A   B , 10 , \n",
        HEADER + 'tape,"A B","10",,\n',
        HEADER + "tape,A B,10\n",
        HEADER + "tape,A B,10,,,,,\n",
        "kind,marks,value,,\ntape,A B,10,,\n",
    ],
)
def test_the_same_reading_however_it_is_exported(tmp_path, text):
    (reading,) = load(write(tmp_path, readings=text)).readings
    assert (reading.kind, reading.marks, reading.value) == ("tape", ("A", "B"), 10.0)


def test_inch_marks_in_cells_are_read_with_and_without_quotes():
    rows = HEADER + 'tape,A B,1\' 3-1/2",,\ntape,A B,"1\' 3-1/2""",,"said ""about"", twice"\n'
    first, second = parse("", rows).readings
    assert first.value == second.value == 393.7
    assert second.note == 'said "about", twice'


def test_a_fixed_mark_takes_three_lengths():
    rows = HEADER + 'fixed,A,1 1/2 3 -4,,\nfixed,B,"1,2,3",,\nfixed,C,1 in; 2 in; 3 in,,\n'
    places = [r.at for r in parse("", rows).readings]
    assert places == [(1.5, 3.0, -4.0), (1.0, 2.0, 3.0), (25.4, 50.8, pytest.approx(76.2))]


@pytest.mark.parametrize(
    ("row", "entry", "says"),
    [
        ("tpe,A B,10,,", "kind", "did you mean tape?"),
        ("zzz,A B,10,,", "kind", "one of tape, over"),
        (",A B,10,,", "kind", "one of tape"),
        ("tape,A,10,,", "marks", "2 marks"),
        ("tape,A B C,10,,", "marks", "2 marks"),
        ("corner,A B,10,,", "marks", "3 marks"),
        ("line,A B,,,", "marks", "3 or more marks"),
        ("flat,A B C,,,", "marks", "4 or more marks"),
        ("tape,A A,10,,", "marks", "each mark once"),
        ("height,-A,10,,", "marks", "names of marks"),
        ("height,A/B,10,,", "marks", "names of marks"),
        ("height,../A,10,,", "marks", "names of marks"),
        ("height,A\u200b,10,,", "marks", "names of marks"),
        (f"height,{'A' * 61},10,,", "marks", "at most 60"),
        ("tape,A B,,,", "value", "nothing is written"),
        ("tape,A B,0,,", "value", "more than 0"),
        ("tape,A B,-3,,", "value", "more than 0"),
        ('tape,A B,"10,5",,', "value", "10.5"),
        ("tape,A B,nan,,", "value", "a length, such as"),
        ("tape,A B,1e400,,", "value", "a length, such as"),
        ("incline,A B,91,,", "value", "-90 to 90"),
        ("corner,A B C,181,,", "value", "0 to 180"),
        ("incline,A B,1.2 rad,,", "value", "not radians"),
        ("level,A B,5,,", "value", "no value"),
        ("fixed,A,1 2,,", "value", "three lengths"),
        ("fixed,A,1' 3 1/2 2,,", "value", "more than one way"),
        ('fixed,A,"1,5 2,5 3,5",,', "value", "decimal point"),
        ("height,A,10,0,", "plus_minus", "standard deviation"),
        ("height,A,10,-1,", "plus_minus", "standard deviation"),
        ("height,A,10,inf,", "plus_minus", "a length, such as"),
        ("incline,A B,10,0.0001,", "plus_minus", "standard deviation"),
        ("tape,A B,10,5,,,,more", "", "at most 5 columns"),
        ("tape,A B,1000,5,,", "", "at most 5 columns"),  # 1000,5 fell apart at its comma
        ("tape,A B,23,5,,x", "", "decimal point"),
        ('tape,"A B,10,,', "", "quotes that open and close"),
        ('tape,A B,"10"x,,', "", "quotes that open and close"),
    ],
)
def test_a_wrong_row_is_refused_by_line_and_column(row, entry, says):
    fault = only(faults(readings=HEADER + "height,A,1,,\n" + row + "\n"))
    assert (fault.file, fault.line, fault.entry) == ("readings.csv", 3, entry)
    assert says in f"{fault.expected} {fault.do}"
    assert fault.read
    assert fault.do


@pytest.mark.parametrize(
    ("header", "says"),
    [
        ("tape,A B,10,,", "make that the first line"),
        ("kind,mark,value", "'marks'"),
        ("kind,value", "a column of this name"),
        ("kind,marks,value,value", "the column once"),
        ('kind,"marks,value', "make that the first line"),
    ],
)
def test_a_wrong_header_is_refused(header, says):
    fault = faults(readings=header + "\ntape,A B,10,,\n")[0]
    assert fault.line == 1
    assert says in f"{fault.expected} {fault.do}"


# ---- job.toml -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("toml", "entry", "line", "says"),
    [
        ("[job]\nunit = 'inch'\n", "job.unit", 2, '"in" or "mm"'),
        ("[job]\nnmae = 'x'\n", "job.nmae", 2, "did you mean name?"),
        ("[bars.a]\nstock = 'm'\n", "bars", 1, "did you mean bar?"),
        ("\n[stock.m]\nod = 2\n", "stock.m.wall", 2, "wall"),
        ("[stock.m]\nod = '1,5'\nwall = 0.1\n", "stock.m.od", 2, "1.5"),
        ("[stock.m]\nod = 2\nwall = 1\n", "stock.m.wall", 3, "half the outside"),
        ("[stock.m]\nod = nan\nwall = 1\n", "stock.m.od", 2, "finite"),
        ("[stock.m]\nod = 1e400\nwall = 1\n", "stock.m.od", 2, "finite"),
        ("[stock.m]\nod = -2\nwall = 1\n", "stock.m.od", 2, "more than 0"),
        ("[stock.m]\nod = true\nwall = 1\n", "stock.m.od", 2, "a length, such as"),
        ("[stock.m]\nod = 1979-05-27\nwall = 1\n", "stock.m.od", 2, "a length, such as"),
        ("[stock.m]\nod = 30\nwall = 1\nprice = nan\n", "stock.m.price", 4, "finite"),
        ("[stock.'a/b']\nod = 2\nwall = 0.1\n", "stock.a/b", 1, "a name without blanks"),
        ("[stock.'..']\nod = 2\nwall = 0.1\n", "stock...", 1, "a name without blanks"),
        ("stock = 3\n", "stock", 1, "a table of tables"),
        ("[default_plus_minus]\ntape = 0\n", "default_plus_minus.tape", 2, "a larger number"),
        ("[default_plus_minus]\ntaep = 1\n", "default_plus_minus.taep", 2, "did you mean tape?"),
        ("[[readings]]\nline = 1\n", "readings", 1, "readings.csv"),
        ("[twin]\nof = ['x']\n", "twin.of", 2, "there is none yet"),
        ("[twin]\nof = 'x'\n", "twin.of", 2, "a list in square brackets"),
    ],
)
def test_a_wrong_table_is_refused_by_entry_and_line(toml, entry, line, says):
    fault = only(faults(toml))
    assert (fault.file, fault.entry, fault.line) == ("job.toml", entry, line)
    assert says in f"{fault.expected} {fault.do}"


def bar(rest: str) -> str:
    return TUBE + "[bar.a]\nstock = 'main'\n" + rest


@pytest.mark.parametrize(
    ("toml", "entry", "says"),
    [
        (bar("path = ['A', 'Q']\n"), "bar.a.path", "a mark of readings.csv"),
        (bar("path = ['A']\n"), "bar.a.path", "two marks or more"),
        (bar("path = ['A', 'A', 'C']\n"), "bar.a.path", "each mark once"),
        (bar(""), "bar.a", "one of them: path"),
        (bar("path = ['A', 'B']\nfrom = 'A'\n"), "bar.a.from", "ends on the ends of its path"),
        (bar("path = ['A', 'B']\nspin = 'le vel'\n"), "bar.a.spin", "the name of a mark"),
        (
            bar("prebent = { straights = [9] }\nfrom = 'A'\n"),
            "bar.a",
            "from and to",
        ),
        (
            bar("prebent = { straights = [9], bends = [5] }\nfrom = 'A'\nto = 'B'\n"),
            "bar.a.prebent.straights",
            "2 straights",
        ),
        (bar("prebent = { straights = [9] }\nfrom = 'A'\nto = 'A'\n"), "bar.a.to", "other than"),
        (bar("path = ['A', 'B']\ncope = { from = ['b'] }\n"), "bar.a.cope.from", "another bar"),
        (bar("path = ['A', 'B']\ncope = { to = ['a'] }\n"), "bar.a.cope.to", "another bar"),
        (bar("path = ['A', 'B']\n").replace("'main'", "'mian'"), "bar.a.stock", "mean main?"),
        (
            "[stock.s]\nod = 2\nwall = 0.1\n[bar.a]\nstock = 's'\npath = ['A', 'C', 'D']\n",
            "bar.a",
            "centreline radius",
        ),
    ],
)
def test_a_bar_that_does_not_hold_together_is_refused(toml, entry, says):
    fault = only(faults(toml, FIXED))
    assert fault.entry == entry
    assert fault.line is not None
    assert says in f"{fault.expected} {fault.do}"


LEAF = "[leaf.s]\nbars = ['a']\naxis = ['A', 'B']\nopens = 9\n"


def leaf(rest: str) -> str:
    return bar("path = ['A', 'B']\n") + rest


@pytest.mark.parametrize(
    ("toml", "entry", "says"),
    [
        ("[leaf.s]\nbars = ['b']\naxis = ['A', 'B']\nopens = 90\n", "leaf.s.bars", "a bar of"),
        ("[leaf.s]\nbars = []\naxis = ['A', 'B']\nopens = 90\n", "leaf.s.bars", "one bar"),
        ("[leaf.s]\nbars = ['a']\naxis = ['A', 'B']\nopens = 0\n", "leaf.s.opens", "other than 0"),
        ("[leaf.s]\nbars = ['a']\naxis = ['A', 'A']\nopens = 9\n", "leaf.s.axis", "differ"),
        ("[leaf.s]\nbars = ['a']\naxis = ['A', 'Z']\nopens = 9\n", "leaf.s.axis", "a mark of"),
        ("[leaf.s]\nbars = ['a']\naxis = ['A']\nopens = 9\n", "leaf.s.axis", "field 1|2|at least"),
        ("[leaf.s]\nbars = ['a']\naxis = {through = 'A'}\nopens = 9\n", "leaf.s.axis", "either"),
        (
            "[leaf.s]\nbars = ['a']\naxis = {through = 'A', along = [0, 0, 0]}\nopens = 9\n",
            "leaf.s.axis.along",
            "not all zero",
        ),
        (
            "[leaf.s]\nbars = ['a']\naxis = {through = 'A', along = 'upp'}\nopens = 9\n",
            "leaf.s.axis.along",
            "up, down",
        ),
        (
            LEAF + LEAF.replace("leaf.s", "leaf.t"),
            "leaf.t.bars",
            "swings with s already",
        ),
        (
            "[leaf.a]\nbars=['a']\naxis=['A', 'B']\nopens=9\n[twin]\nof = ['a']\n",
            "twin.of",
            "one thing of that name",
        ),
        ("[twin]\nof = ['a']\n[bar.a-twin]\nstock='main'\npath=['A', 'C']\n", "bar.a-twin", "name"),
        (
            "[plate.p]\nthickness = 3\nmarks = ['A', 'B', 'Z']\nagainst = ['a']\n",
            "plate.p.marks",
            "a mark of",
        ),
        ("[plate.p]\nthickness = 3\nrides = 'x'\n", "plate.p.rides", "a leaf of"),
        ("[plate.p]\nsheet = 'x'\n", "plate.p.sheet", "a sheet of"),
        ("[load.side]\non = 'x'\nforce = '9 kN'\n", "load.side.on", "a bar of"),
        ("[load.side]\nat = 'X'\nforce = '9 kN'\n", "load.side.at", "a mark of"),
        ("[load.side]\non = 'a'\npush = 'upp'\n", "load.side.push", "up, down"),
        ("[load.side]\non = 'a'\nforce = 9\n", "load.side.force", "with its unit"),
        ("[fit.door]\nbolt = 12\n", "fit.door", "a leaf of"),
        ("[strength]\nheld = ['X']\n", "strength.held", "a mark of"),
    ],
)
def test_a_leaf_plate_or_twin_that_leads_nowhere_is_refused(toml, entry, says):
    fault = only(faults(leaf(toml), FIXED))
    assert fault.entry.startswith(entry)
    assert any(s in f"{fault.expected} {fault.do}" for s in says.split("|"))


def test_every_fault_is_reported_at_once_and_none_twice():
    toml = (
        TUBE + "[bar.a]\nstok = 'main'\npath = ['A', 'B']\n"
        "[bar.b]\nstock = 'main'\npath = ['A', 'E']\n"
        "[leaf.s]\nbars = ['a']\naxis = ['A', 'B']\nopens = 90\n"
    )
    found = faults(toml, FIXED + "tape,A E,ten,,\n")
    # the bar that cannot be read is still known to the leaf, the wrong row's mark E to the bar
    assert [f.entry for f in found] == ["bar.a.stock", "bar.a.stok", "value"]


def test_a_thousand_faults_are_cut_short():
    found = faults(readings=HEADER + "tape,A,1,,\n" * 1000)
    assert len(found) == 100
    assert found[-1].read == "more faults than are told at once"


# ---- abuse ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("toml", "line"),
    [
        ("[job\n", 1),
        ("[job]\nname = 23 7/16\n", 2),
        ("[job]\n[job]\n", 2),
        ("a = 1\na = 2\n", 2),
        ("x = " + "[" * 3000 + "]" * 3000 + "\n", None),
        ("x = " + "{a=" * 1000 + "1" + "}" * 1000, None),
        ("[fitting.x]\nfitting = 'a'\nb = " + "[" * 300 + "]" * 300 + "\n", None),
        (".".join("a" * 1500) + " = 1\n", None),
        ("[" + ".".join("a" * 1500) + "]\n", None),
        ("x = " + "9" * 3900 + "\n", None),
        ("x = " + "9" * 5000 + "\n", 1),
    ],
)
def test_what_is_not_toml_or_a_bomb_is_refused_plainly(tmp_path, toml, line):
    with pytest.raises(BadInput) as refused:
        load(write(tmp_path, toml=toml))
    (fault,) = refused.value.faults
    assert fault.file == "job.toml"
    assert line is None or fault.line == line
    assert len(str(fault)) < 1500


@pytest.mark.parametrize(
    ("raw", "says"),
    [
        (b"x" * 2_000_001, "2 MB"),
        (b"\xff\xfek\x00i\x00", "UTF-16"),
        (b"kind,marks,value\nheight,A,10 \xbd\n", "UTF-8"),
        (b"kind,marks,value\nheight,A," + b"1" * 5000, "at most 4000 characters"),
    ],
)
def test_a_file_that_is_no_plain_text_is_refused(tmp_path, raw, says):
    with pytest.raises(BadInput) as refused:
        load(write(tmp_path, readings=raw))
    fault = only(refused.value.faults)
    assert says in str(fault)
    assert fault.file == "readings.csv"


def test_nul_bytes_are_refused_in_the_row(tmp_path):
    with pytest.raises(BadInput):
        load(write(tmp_path, readings=HEADER.encode() + b"height,A\0,10,,\n"))


def test_names_are_unicode_and_one_letter_has_one_spelling():
    composed, apart = "H\u00e9", "He\u0301"
    toml = TUBE + f"[bar.\u0436]\nstock = 'main'\npath = ['{composed}', 'B']\n".replace(
        "[bar.\u0436]", "[bar.'\u0436']"
    )
    rows = HEADER + f"fixed,{apart},1 2 3,,\nfixed,B,4 5 6,,\n"
    # the texts come through load, which composes them
    import unicodedata

    job = parse(toml, unicodedata.normalize("NFC", rows))
    assert job.bar["\u0436"].path == (composed, "B")


def test_a_folder_that_is_a_file_and_a_directory_named_job_toml(tmp_path):
    file = tmp_path / "x.txt"
    file.write_text("hello")
    with pytest.raises(BadInput):
        load(file)
    (tmp_path / "job.toml").mkdir()
    with pytest.raises(BadInput) as refused:
        load(tmp_path)
    assert "can be read" in only(refused.value.faults).expected
