"""Every operation of the card on the Heron, looked at as a fabricator would."""

from __future__ import annotations

import io
import itertools
import json
import math
import re
import subprocess
import sys
import zipfile
from typing import Any

import pytest
from bench_pages import DESK, PATIENCE, PHONE, Opened, Served, settled, tap, turn_to
from playwright.sync_api import expect


@pytest.fixture(scope="module")
def checked(heron: Served) -> Any:
    """What the command line says of the same job."""
    command = [sys.executable, "-m", "barwright.cli", "check", str(heron.folder), "--json"]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    said = json.loads(done.stdout)
    assert "errors" not in said, done.stdout
    return said


def inches(text: str) -> float:
    """A fraction as the page writes it, in inches."""
    whole = 0.0
    for word in text.replace("−", "-").split():
        over, _, under = word.partition("/")
        whole += float(over) / float(under or 1)
    return whole


def test_the_card_numbers_eight_operations_in_the_order_of_the_work(
    heron: Served, opened: Opened
) -> None:
    page = opened.page(heron)
    settled(page)
    names = ["Measure", "Tubes", "Swing", "Plates", "Fit", "Strength", "Build", "Make"]
    expect(page.locator(".op .name")).to_have_text([re.compile(f"^{name}$") for name in names])
    expect(page.locator(".op .n")).to_have_text([re.compile(f"^{n}$") for n in range(1, 9)])


def test_the_card_counts_the_findings_that_check_prints(
    heron: Served, opened: Opened, checked: Any
) -> None:
    page = opened.page(heron)
    settled(page)
    stamps = " ".join(page.locator(".stamp").all_inner_texts())
    for level, says in (("must", "must"), ("look", "to look at")):
        counted = sum(int(n) for n in re.findall(rf"(\d+)\s+{says}", stamps))
        shown = sum(f["level"] == level for f in checked["findings"])
        if level == "must":
            assert counted == shown
        else:
            assert counted <= shown  # an operation with a must shows that alone


def test_measure_shows_readings_residuals_and_doubts(heron: Served, opened: Opened) -> None:
    page = opened.page(heron)
    settled(page)
    body = turn_to(page, "measure")
    rows = body.locator(".readings tbody tr")
    expect(rows).to_have_count(40)
    body.get_by_role("button", name="Show all").click()
    expect(rows).to_have_count(254)
    body.get_by_role("searchbox").fill("tape HL")
    expect(rows).not_to_have_count(254)
    found = body.locator(".readings tbody th").all_inner_texts()
    assert found
    assert all("tape" in r and "HL" in r for r in found)
    expect(page.locator(".caption")).to_contain_text("one standard deviation")
    body.locator("details.marks summary").click()
    expect(body.locator("details.marks tbody tr")).to_have_count(40)


def test_tubes_say_what_the_saw_and_the_bender_need(
    heron: Served, opened: Opened, checked: Any
) -> None:
    page = opened.page(heron)
    settled(page)
    body = turn_to(page, "tubes")
    listed = body.locator(".bars tbody tr:not(.parting)").evaluate_all(
        "(rows) => rows.map((r) => [...r.cells].map((c) => c.textContent))"
    )
    assert {name for name, *_ in listed} == set(checked["bars"])
    for name, _, cut, _ in listed:
        assert abs(inches(cut) * 25.4 - checked["bars"][name]["cut_length"]) < 25.4 / 64 + 0.01
    body.get_by_role("button", name="hoop", exact=True).click()
    sheet = body.get_by_role("region", name="Bend sheet of hoop")
    expect(sheet.locator(".bends tbody tr")).to_have_count(2)
    told = sheet.locator(".bends tbody td:nth-child(4)").all_inner_texts()
    bends = [float(t.rstrip("°")) for t in told]
    assert bends == pytest.approx(checked["bars"]["hoop"]["bends"], abs=0.06)
    body.get_by_role("button", name="roof-brace", exact=True).click()
    wrap = body.get_by_role("region", name="Bend sheet of roof-brace").locator(".ends img").first
    wrap.scroll_into_view_if_needed()
    page.wait_for_function("i => i.complete && i.naturalWidth > 0", arg=wrap.element_handle())
    assert wrap.evaluate("i => i.naturalWidth") > 50


def test_swing_opens_by_hand_and_says_the_clearance(
    heron: Served, opened: Opened, checked: Any
) -> None:
    page = opened.page(heron)
    settled(page)
    body = turn_to(page, "swing")
    least = checked["leaves"]["side"]["least_clearance"]
    expect(body.locator(".verdict")).to_contain_text(f"{least / 25.4:.3f}")
    slider = body.get_by_role("slider")
    for _ in range(4):
        slider.press("ArrowRight")
    expect(body.locator("output")).to_have_text("2.0°")
    tap(body.locator(".plot svg"), (60 + 520 * 0.5) / 600, 60 / 227)
    expect(body.locator("output")).to_have_text("50.0°")
    expect(body.locator(".gap")).to_contain_text("Clear by")
    moving, still = body.locator(".gap .pair").inner_text().split(" from ")
    parts = {*checked["bars"], *page.locator("#body-plates").all_inner_texts()}
    assert moving == "upper" or moving in parts or moving.startswith("side.")
    assert still != moving
    expect(page.locator(".caption")).to_have_text(re.compile(r"^Leaves at 50\.0°"))


OPENED = """async (op) => {
  const head = document.getElementById(`op-${op}`);
  const where = () => head.getBoundingClientRect().top;
  const far = where();
  head.click();
  for (let k = 0; k < 20; k++) await null;
  const at = where();
  for (let k = 0; k < 10; k++) await new Promise((done) => setTimeout(done, 20));
  return [far, at, where()];
}"""


def test_an_operation_that_is_opened_lies_in_its_place_before_it_is_painted(
    heron: Served, opened: Opened
) -> None:
    """A hand that is quick, or a machine that is slow, must not find it moving away."""
    page = opened.page(heron)
    settled(page)
    turn_to(page, "measure")
    far, at, later = page.evaluate(OPENED, "swing")
    assert far > 1000, "it lay far down the card"
    assert 0 <= at < 60
    assert later == pytest.approx(at, abs=1)


def test_plates_are_shown_flat_with_what_each_edge_measures(heron: Served, opened: Opened) -> None:
    page = opened.page(heron)
    settled(page)
    body = turn_to(page, "plates")
    body.get_by_role("button", name="side.latch.plate", exact=True).click()
    flat = body.locator(".flat")
    flat.locator("path.hit").first.dispatch_event("pointerenter")
    expect(flat.locator("title", has_text="edge").nth(3)).to_be_attached()
    expect(flat.locator("title", has_text="fold")).to_have_count(1)
    expect(flat.locator("title", has_text="diameter").nth(3)).to_be_attached()
    body.get_by_role("button", name="Board, for the mock-up").click()
    expect(page.locator(".caption")).to_have_text(re.compile("^Plates in board"))


NUMBERED = """(flat) => {
  const svg = flat.querySelector("svg");
  const to = svg.getScreenCTM();
  const box = (e) => {
    const lies = e.getBoundingClientRect();
    return [lies.left, lies.top, lies.right, lies.bottom];
  };
  const number = (t) => ({ says: t.textContent, box: box(t),
    high: parseFloat(getComputedStyle(t).fontSize) * to.a });
  return { frame: box(svg), matrix: [to.a, to.e, to.f],
    numbers: [...svg.querySelectorAll("text.corner")].map(number) };
}"""


@pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "phone"])
def test_every_flat_pattern_carries_the_numbers_trims_go_by_large_enough_to_read(
    heron: Served, opened: Opened, size: Any
) -> None:
    page = opened.page(heron, size)
    settled(page)
    body = turn_to(page, "plates")
    told = page.evaluate("async () => (await (await fetch('/section/plates')).json()).parts")
    assert len(told) > 4
    for part in told:
        body.get_by_role("button", name=part["name"], exact=True).click()
        flat = body.get_by_role("region", name=f"Flat pattern of {part['name']}", exact=True)
        expect(flat.locator("text.corner").first).to_be_visible()
        numbers_can_be_read(part["corners"], flat.evaluate(NUMBERED))


def numbers_can_be_read(corners: Any, seen: Any) -> None:
    """Each corner has its number beside it, at least 14 CSS px high, in the frame, none on another.

    14 px is the page's own small print.
    """
    a, e, f = seen["matrix"]
    left, top, right, bottom = seen["frame"]
    shown = {int(n): number for number in seen["numbers"] for n in number["says"].split(",")}
    assert sorted(shown) == [c["n"] for c in corners]
    for corner in corners:
        x0, y0, x1, y1 = shown[corner["n"]]["box"]
        assert shown[corner["n"]]["high"] >= 14.0
        assert left <= x0 < x1 <= right
        assert top <= y0 < y1 <= bottom
        at = (a * corner["at"][0] + e, f - a * corner["at"][1])
        assert math.dist(at, ((x0 + x1) / 2, (y0 + y1) / 2)) < 40.0, corner
    for p, q in itertools.combinations([number["box"] for number in seen["numbers"]], 2):
        assert p[2] <= q[0] or q[2] <= p[0] or p[3] <= q[1] or q[3] <= p[1], "one over another"


def test_fit_says_what_decides_it(heron: Served, opened: Opened) -> None:
    page = opened.page(heron)
    settled(page)
    body = turn_to(page, "fit")
    expect(body.locator(".hinge")).to_contain_text("What decides it")


def test_strength_says_its_cautions_before_any_figure(heron: Served, opened: Opened) -> None:
    page = opened.page(heron)
    settled(page)
    body = turn_to(page, "strength")
    expect(body.locator(".case")).to_contain_text("the load.")
    text = body.inner_text()
    assert text.index("licensed engineer") < text.index("the load.")
    cases = body.get_by_role("group", name="Load case").get_by_role("button")
    name = re.split(r" [×∞]", cases.nth(1).inner_text())[0]
    cases.nth(1).click()
    expect(body.get_by_role("region", name=f"Case {name}").locator("caption")).to_have_count(1)
    expect(body.locator(".case caption")).to_have_count(1)
    expect(page.locator(".caption")).to_contain_text("its movement drawn")


def test_make_hands_out_the_pack(heron: Served, opened: Opened) -> None:
    page = opened.page(heron)
    settled(page)
    body = turn_to(page, "make")
    body.get_by_role("button", name="Make the pack in board").click()
    link = body.get_by_role("link", name="pack.zip")
    link.or_(body.locator(".faults li")).first.wait_for(timeout=3 * PATIENCE)
    expect(body.locator(".faults li")).to_have_text([])
    with page.expect_download() as coming:
        link.click()
    data = coming.value.path().read_bytes()
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        assert archive.testzip() is None
        said = json.loads(archive.read("manifest.json"))
    assert said["stage"] == "board"
    expect(body).to_contain_text(said["job_sha256"][:12])
