"""Edits on the page and in an editor meet in the same files, and nobody's are lost."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest
from bench_pages import (
    SMALL,
    SMALL_READINGS,
    Opened,
    Served,
    drawn,
    reworked,
    settled,
    steady,
    turn_to,
)
from playwright.sync_api import expect


def evidence(page: Any, op: str) -> Any:
    return page.locator(f"#op-{op} .evidence")


def save_by_renaming(path: Path, text: str) -> None:
    """As many editors save: a new file beside it, renamed over it."""
    beside = path.with_name(".editor.swp")
    beside.write_text(text)
    beside.replace(path)


def edit_row(page: Any, line: int, value: str) -> None:
    page.locator(f"#row-{line} button.row").click()
    editor = page.locator("tr.editing")
    editor.get_by_label("Inches").fill(value)
    editor.get_by_role("button", name="Write it").click()


def test_a_reading_goes_to_the_file_is_worked_out_and_undone(small: Served, opened: Opened) -> None:
    page = opened.page(small)
    settled(page)
    evidence(page, "measure").get_by_text("4 marks from 7 readings, 1 to spare").wait_for()
    form = page.locator(".next form")
    form.get_by_label("Marks").fill("A D")
    form.get_by_label("Inches").fill("36 1/16")
    form.get_by_label("Inches").press("Enter")
    evidence(page, "measure").get_by_text("4 marks from 8 readings, 2 to spare").wait_for()
    assert small.text("readings.csv") == SMALL_READINGS + "tape,A D,36 1/16,,\n"
    page.get_by_role("button", name="Undo").click()
    evidence(page, "measure").get_by_text("from 7 readings").wait_for()
    assert small.text("readings.csv") == SMALL_READINGS
    page.get_by_role("button", name="Redo").click()
    evidence(page, "measure").get_by_text("from 8 readings").wait_for()


def test_a_value_of_the_job_is_changed_its_comment_stays_and_the_tube_follows(
    small: Served, opened: Opened
) -> None:
    page = opened.page(small)
    settled(page)
    body = turn_to(page, "tubes")
    before = evidence(page, "tubes").text_content()
    body.locator("summary", has_text="Tube on the rack").click()
    field = body.get_by_label("stock.main.od")
    field.fill("2 1/2")
    with reworked(page):
        field.press("Enter")
    expect(evidence(page, "tubes")).not_to_have_text(before)
    text = small.text("job.toml")
    assert 'od = "2 1/2"          # what is on the rack' in text
    with reworked(page):
        page.locator("#op-tubes").press("Control+z")
    expect(evidence(page, "tubes")).to_have_text(before)
    assert small.text("job.toml") == SMALL


def test_each_operation_comes_by_itself_with_its_last_result_in_view_meanwhile(
    small: Served, opened: Opened
) -> None:
    """What the page showed is noted at every change of it: none is ever blank."""
    page = opened.page(small)
    settled(page)
    page.evaluate(
        """() => {
          window.seen = [];
          const note = () => window.seen.push([...document.querySelectorAll(".op")].map((op) => [
            op.querySelector(".name").textContent, op.dataset.again === "true",
            op.querySelector(".evidence").textContent]));
          new MutationObserver(note).observe(document.querySelector(".ops"),
            { subtree: true, childList: true, attributes: true, characterData: true });
        }"""
    )
    before = evidence(page, "tubes").text_content()
    with reworked(page):
        edit_row(page, 6, "29")
        page.locator("tr.editing").wait_for(state="detached")
    seen = page.evaluate("window.seen")
    assert any(again for row in seen for _, again, _ in row)
    assert not any(again for _, again, _ in seen[-1])
    assert all(words for row in seen for _, _, words in row)
    waiting = [row for row in seen if row[1][1]]
    assert all(row[1][2] == before for row in waiting)
    # fetched one by one, in whatever order the answers come: some are new while others wait
    assert any(len({again for _, again, _ in row}) == 2 for row in seen)


def test_the_view_stays_where_it_was_turned_when_a_reading_is_changed(
    small: Served, opened: Opened
) -> None:
    """An eighth of an inch moves the names of the marks by hardly a pixel."""
    page = opened.page(small)
    drawn(page, "Marks")
    first = places(page)
    page.locator(".frame").press("ArrowLeft")
    turned = places(page)
    with reworked(page):
        edit_row(page, 6, "29 7/8")
    assert far(turned, first) > 20.0
    assert far(places(page), turned) < 3.0


PLACES = """() => [...document.querySelectorAll(".labels span")].map(
  (s) => [s.style.transform.match(/-?[0-9.]+/g).map(Number)].flat())"""


def places(page: Any) -> list[list[float]]:
    """Where the names of the marks are on the picture once it stands still, in pixels."""
    steady(page, ".frame")
    return list(page.evaluate(PLACES))


def far(one: list[list[float]], other: list[list[float]]) -> float:
    """How far the name that moved most has moved."""
    return max(math.dist(a, b) for a, b in zip(one, other, strict=True))


def test_what_is_typed_wrong_is_said_at_once_and_not_written(small: Served, opened: Opened) -> None:
    page = opened.page(small)
    settled(page)
    edit_row(page, 8, "30,5")
    fault = page.locator("tr.editing .faults")
    fault.get_by_text("write a decimal point, not a comma: 30.5").wait_for()
    assert small.text("readings.csv") == SMALL_READINGS
    typed = page.locator("tr.editing").get_by_label("Inches")
    expect(typed).to_have_value("30,5")
    typed.press("Escape")
    expect(page.locator("tr.editing")).to_have_count(0)


def test_a_reading_is_taken_out(small: Served, opened: Opened) -> None:
    page = opened.page(small)
    settled(page)
    page.locator("#row-8 button.row").click()
    page.get_by_role("button", name="Take the reading out").click()
    evidence(page, "measure").get_by_text("none to spare").wait_for()
    assert small.text("readings.csv") == SMALL_READINGS.replace("tape,C D,30,,by hand\n", "")


def test_a_bar_is_added_by_its_marks(small: Served, opened: Opened) -> None:
    page = opened.page(small)
    settled(page)
    body = turn_to(page, "tubes")
    body.locator("summary", has_text="Add a bar").click()
    body.get_by_label("Name").fill("brace")
    body.get_by_label("Through marks").fill("B D")
    body.get_by_role("button", name="Add it").click()
    body.locator(".bars tbody th", has_text="brace").wait_for()
    assert '[bar.brace]\nstock = "main"\npath = ["B", "D"]' in small.text("job.toml")


def test_a_trim_is_written_down_and_taken_out(small: Served, opened: Opened) -> None:
    page = opened.page(small)
    settled(page)
    body = turn_to(page, "tubes")
    row = body.locator(".bars tbody tr", has_text="post")
    before = row.text_content()
    body.locator(".trims > summary").click()
    form = body.locator(".trims form.add").last
    form.locator("select[name=name]").select_option("post")
    form.locator("select[name=end]").select_option("to")
    form.get_by_label("Cut off, in").fill("1/2")
    with reworked(page):
        form.get_by_role("button", name="Write the trim down").click()
    out = body.get_by_role("button", name="Take trim 1 out")
    out.wait_for()
    assert '[[trim]]\nbar = "post"\nend = "to"\nlength = "1/2"\n' in small.text("job.toml")
    expect(row).not_to_have_text(before)
    with reworked(page):
        out.click()
    out.wait_for(state="detached")
    assert small.text("job.toml") == SMALL
    expect(row).to_have_text(before)


@pytest.mark.parametrize("save", [Path.write_text, save_by_renaming])
def test_what_an_editor_saves_shows_by_itself(small: Served, opened: Opened, save: Any) -> None:
    page = opened.page(small)
    settled(page)
    save(small.folder / "readings.csv", SMALL_READINGS + "height,B,40,,from the editor\n")
    page.locator(".readings", has_text="from the editor").wait_for()
    evidence(page, "measure").get_by_text("from 8 readings").wait_for()
    expect(page.get_by_role("button", name="Undo")).to_contain_text("saved outside")


def test_a_broken_file_is_named_and_the_last_good_result_stays(
    small: Served, opened: Opened
) -> None:
    page = opened.page(small)
    settled(page)
    body = turn_to(page, "tubes")
    (small.folder / "job.toml").write_text(SMALL.replace("od = 1.5 ", "od = 1,5 "))
    trouble = page.locator(".trouble")
    trouble.get_by_text("job.toml, line 7").wait_for()
    expect(trouble).to_contain_text("last good result")
    expect(body.locator(".bars tbody tr")).to_have_count(2)
    expect(body).to_contain_text("From before the last edit")
    with reworked(page):
        (small.folder / "job.toml").write_text(SMALL)
    expect(trouble).to_have_count(0)


def test_two_windows_on_one_reading_lose_nothing(small: Served, opened: Opened) -> None:
    one, two = opened.page(small), opened.page(small)
    settled(one)
    settled(two)
    for page in (one, two):
        page.locator("#row-8 button.row").click()
    for page, value in ((one, "30 1/16"), (two, "30 1/8")):
        editor = page.locator("tr.editing")
        editor.get_by_label("Inches").fill(value)
    one.locator("tr.editing").get_by_role("button", name="Write it").click()
    one.locator("tr.editing").wait_for(state="detached")
    two.locator("tr.editing").get_by_role("button", name="Write it").click()
    notice = two.locator(".notice")
    expect(notice).to_contain_text("tape C D 30 1/16")
    expect(notice).to_contain_text("tape C D 30 1/8")
    assert "30 1/16" in small.text("readings.csv")
    notice.get_by_role("button", name="Write mine over it").click()
    one.locator("#row-8", has_text="30 1/8").wait_for()
    assert "tape,C D,30 1/8,,by hand" in small.text("readings.csv")


def test_two_windows_on_two_readings_do_not_disturb_one_another(
    small: Served, opened: Opened
) -> None:
    one, two = opened.page(small), opened.page(small)
    settled(one)
    settled(two)
    two.locator("#row-8 button.row").click()
    two.locator("tr.editing").get_by_label("Inches").fill("30 1/8")
    edit_row(one, 5, "20 1/16")
    one.locator("#row-5", has_text="20 1/16").wait_for()
    two.locator("tr.editing").get_by_role("button", name="Write it").click()
    one.locator("#row-8", has_text="30 1/8").wait_for()
    text = small.text("readings.csv")
    assert "height,D,20 1/16,," in text
    assert "tape,C D,30 1/8,,by hand" in text


def test_an_editor_that_saves_over_the_page_is_told_and_both_are_kept(
    small: Served, opened: Opened
) -> None:
    page = opened.page(small)
    settled(page)
    edit_row(page, 8, "30 1/8")
    page.locator("#row-8", has_text="30 1/8").wait_for()
    save_by_renaming(small.folder / "readings.csv", SMALL_READINGS)  # it had the old text open
    notice = page.locator(".notice")
    expect(notice).to_contain_text("tape,C D,30 1/8,,by hand")
    expect(notice).to_contain_text("tape,C D,30,,by hand")
    notice.get_by_role("button", name="Put mine back").click()
    page.locator("#row-8", has_text="30 1/8").wait_for()
    assert "tape,C D,30 1/8,,by hand" in small.text("readings.csv")


def test_an_empty_job_says_what_to_do_first_and_shows_the_heron_at_a_click(
    empty: Served, opened: Opened
) -> None:
    before = empty.text("job.toml"), empty.text("readings.csv")
    page = opened.page(empty)
    first = page.locator(".first")
    first.get_by_text("Begin at the vehicle").wait_for()
    with reworked(page):
        first.get_by_role("button", name="Put the Heron on the bench").click()
    expect(page.locator("h1")).to_contain_text("Heron")
    expect(evidence(page, "measure")).to_contain_text("40 marks")
    page.get_by_role("button", name="Undo").click()
    first.wait_for()
    assert (empty.text("job.toml"), empty.text("readings.csv")) == before
