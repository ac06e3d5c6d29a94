"""A photo of a card goes in, two fingertips on its line, and its true size comes out."""

from __future__ import annotations

import importlib.util
import math
import sys
from pathlib import Path
from types import ModuleType

import pytest
from bench_pages import Opened, Served, settled, tap, turn_to
from playwright.sync_api import expect

CARD = ((60.0, 80.0), (230.0, 80.0), (230.0, 330.0), (60.0, 300.0))
PEN = ((80.0, 110.0), (210.0, 140.0))


def card_photo() -> ModuleType:
    """The survey's own maker of photos, which lies with its tests."""
    pytest.importorskip("cv2", reason="needs the extra photo")
    path = Path(__file__).parents[1] / "survey" / "card_photo.py"
    spec = importlib.util.spec_from_file_location("card_photo_for_pages", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


def test_a_line_picked_on_a_photo_is_told_in_true_size(
    small: Served, opened: Opened, tmp_path: Path
) -> None:
    maker = card_photo()
    scene = maker.Scene(
        outline=CARD,
        pen=((*PEN, 0.8),),
        size=(2000, 1500),
        aim=(150.0, 222.0),
        eye=(185.0, 100.0, 450.0),
        seed=1,
    )
    (tmp_path / "card.jpg").write_bytes(maker.photo(scene))
    page = opened.page(small)
    settled(page)
    body = turn_to(page, "measure")
    body.locator("details.photo summary").click()
    body.locator("input[type=file]").set_input_files(tmp_path / "card.jpg")
    image = body.locator(".trace img")
    image.wait_for()
    image.evaluate("i => i.decode()")
    raised = [(x, y, scene.thickness) for x, y in PEN]
    plate = body.locator(".trace .plate")
    for n, (x, y) in enumerate(maker.to_pixels(scene, raised), start=1):
        tap(plate, x / scene.size[0], y / scene.size[1])
        expect(plate.locator("circle")).to_have_count(n)
    expect(body).to_contain_text("1 line picked")
    body.get_by_label("Board").select_option("a3")
    body.get_by_label("Card's thickness").fill("3 mm")
    body.get_by_role("button", name="Trace it").click()
    told = body.locator(".traced li", has_text="line 1")
    told.or_(body.locator(".trace .faults li")).first.wait_for()
    expect(body.locator(".trace .faults li")).to_have_text([])
    length = float(told.inner_text().partition(":")[2].split()[0])
    # the fingertips set the ends along the line, to a few pixels of the page
    assert length == pytest.approx(math.dist(*PEN), abs=2.0)
    kept = sorted(p.name for p in (small.folder / "templates").iterdir())
    assert kept == ["card.dxf", "card.jpg", "card.json", "card.svg"]
    form = body.locator("form.plate-of")
    for name, typed in (("plate", "gusset"), ("thick", "1/8"), ("origin", "A"), ("along", "C")):
        form.locator(f"[name={name}]").fill(typed)
    form.locator("[name=toward]").fill("D")
    form.locator("[name=line]").select_option("line 1")
    form.get_by_role("button", name="Make it a plate").click()
    form.get_by_role("status").or_(form.locator(".faults li")).first.wait_for()
    expect(form.locator(".faults li")).to_have_text([])
    assert 'template = "templates/card.json"' in small.text("job.toml")
    plates = turn_to(page, "plates")
    plates.locator("table.plates th", has_text="gusset").wait_for()


@pytest.mark.parametrize("data", [b"not a photo at all", b"\x89PNG\r\n\x1a\n" + b"\0" * 40])
def test_what_is_no_photo_is_refused_and_not_kept(
    small: Served, opened: Opened, tmp_path: Path, data: bytes
) -> None:
    (tmp_path / "evil.jpg").write_bytes(data)
    page = opened.page(small)
    settled(page)
    body = turn_to(page, "measure")
    body.locator("details.photo summary").click()
    body.locator("input[type=file]").set_input_files(tmp_path / "evil.jpg")
    body.locator("details.photo .faults li").first.wait_for()
    assert not (small.folder / "templates" / "evil.jpg").exists()


def test_more_than_a_photo_is_refused_before_it_is_read(small: Served, opened: Opened) -> None:
    page = opened.page(small)
    settled(page)
    status = page.evaluate(
        """async () => (await fetch("/photo?name=big.jpg",
          { method: "POST", body: new Blob([new Uint8Array(31_000_000)]) })).status"""
    )
    assert status == 413
    opened.wrong[:] = [w for w in opened.wrong if "413" not in w]
