"""Files made to swell: refused from their beginning, before they take time or memory."""

import struct
import subprocess
import sys
import zlib

import pytest

from barwright.job.bought import read_dxf
from barwright.job.errors import BadInput
from barwright.job.load import load
from barwright.survey.template_photo import opened

DEEP = {
    "deep arrays": "a = " + "[" * 1900 + "]" * 1900,
    "deep tables": "[job]\nname = " + "{a=" * 900 + "1" + "}" * 900,
    "dotted deep": "[" + ".".join("a" * 1900) + "]",
    "many lines deep": "a = " + "[\n" * 200_000,
    "a wide array": "[saw]\nkerf = [\n" + "1,\n" * 500_000 + "]",
    "many tables": "\n".join(f"[bar.b{k}]\nstock = 's'" for k in range(40_000)),
    "many keys": "\n".join(f"k{k} = 1" for k in range(100_000)),
    "a long number": "[saw]\nkerf = " + "9" * 3900,
    "a long name": '[bar."' + "x" * 3900 + '"]',
    "ten megabytes": "# " + ("x" * 99 + "\n# ") * 100_000,
}


@pytest.mark.parametrize("text", DEEP.values(), ids=DEEP)
def test_a_toml_bomb_is_refused(tmp_path, text):
    (tmp_path / "job.toml").write_text(text)
    with pytest.raises(BadInput) as refused:
        load(tmp_path)
    assert all(f.file and f.expected and f.do for f in refused.value.faults)


@pytest.mark.parametrize(
    "row", ["tape,A B,1,,\n", "x" * 100 + "\n", '"', ",,,,\n", "fixed,A,0 0 0,,\n"]
)
def test_ten_megabytes_of_readings_are_refused(tmp_path, row):
    head = "kind,marks,value,plus_minus,note\n"
    (tmp_path / "readings.csv").write_text(head + row * (10_000_000 // len(row)))
    with pytest.raises(BadInput) as refused:
        load(tmp_path)
    assert "2 MB" in refused.value.faults[0].expected


def dxf(*entities: str) -> bytes:
    pairs = "\n".join(entities)
    return f"0\nSECTION\n2\nENTITIES\n{pairs}\n0\nENDSEC\n0\nEOF\n".encode()


def block(name: str, inner: str, count: int) -> str:
    inserts = f"0\nINSERT\n2\n{inner}\n10\n0\n20\n0\n" * count
    return f"0\nBLOCK\n2\n{name}\n70\n0\n10\n0\n20\n0\n{inserts}0\nENDBLK\n"


def test_blocks_within_blocks_do_not_multiply_without_end():
    layers = "".join(block(f"B{k}", f"B{k + 1}", 60) for k in range(12))
    last = "0\nBLOCK\n2\nB12\n70\n0\n10\n0\n20\n0\n0\nCIRCLE\n10\n0\n20\n0\n40\n5\n0\nENDBLK\n"
    body = f"0\nSECTION\n2\nBLOCKS\n{layers}{last}0\nENDSEC\n"
    text = body.encode() + dxf("0\nINSERT\n2\nB0\n10\n0\n20\n0")
    with pytest.raises(BadInput):
        read_dxf(text, "a.dxf", unit="mm")


@pytest.mark.parametrize("size", ["1e308", "nan", "inf", "1e-308", "9" * 400])
def test_sizes_out_of_this_world_are_refused(size):
    with pytest.raises(BadInput):
        read_dxf(dxf(f"0\nCIRCLE\n10\n0\n20\n0\n40\n{size}"), "a.dxf", unit="mm")


def png(wide: int, high: int) -> bytes:
    """A few hundred bytes that say they are a picture of any size."""
    chunk = lambda kind, data: (  # noqa: E731 - short
        struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
    )
    head = struct.pack(">IIBBBBB", wide, high, 8, 0, 0, 0, 0)
    rows = zlib.compress(b"\0" * 100_000, 9)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


@pytest.mark.parametrize("size", [(30_000, 30_000), (2**31 - 1, 1), (65_000, 65_000), (0, 5)])
def test_a_picture_that_says_it_is_huge_is_refused_unopened(size):
    with pytest.raises(BadInput):
        opened(png(*size), "a.png")


@pytest.mark.parametrize("name", ["Ünïcode", "名前", "ребро", "e\u0301", "Ω-1"])
@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_names_in_any_script_and_line_ends_of_any_machine_are_read(tmp_path, name, ending):
    rows = f"kind,marks,value\nfixed,{name},0 0 0\nfixed,B,0 0 900\n"
    (tmp_path / "readings.csv").write_bytes(b"\xef\xbb\xbf" + rows.replace("\n", ending).encode())
    if ending != "\r":  # TOML knows no lone carriage return
        text = f'[stock.s]\nod = 38\nwall = 2\n[bar.b]\nstock = "s"\npath = ["{name}", "B"]\n'
        (tmp_path / "job.toml").write_bytes(b"\xef\xbb\xbf" + text.replace("\n", ending).encode())
    assert len(load(tmp_path).readings) == 2


ADD = """
import sys
from pathlib import Path
from barwright.job.save import ChangedMeanwhile, mark_of, read_exact, write_text
path, who = Path(sys.argv[1]), sys.argv[2]
for n in range(60):
    while True:
        text = read_exact(path)
        try:
            write_text(path, f"{text}# {who}{n}\\n", was=mark_of(text))
        except ChangedMeanwhile:
            continue
        break
"""


def test_two_processes_on_one_job_lose_no_edit(tmp_path):
    path = tmp_path / "job.toml"
    path.write_text("")
    both = [subprocess.Popen([sys.executable, "-c", ADD, path, who]) for who in "ab"]
    assert [p.wait() for p in both] == [0, 0]
    lines = path.read_text().splitlines()
    assert sorted(lines) == sorted(f"# {who}{n}" for who in "ab" for n in range(60))
    for who in "ab":  # each one's own in its order
        assert [x for x in lines if who in x] == [f"# {who}{n}" for n in range(60)]
