"""The page on a phone: by this machine's address on its network, with a key that works once."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from bench_pages import PATIENCE, PHONE, Opened, Served, settled, start, stop, write_small
from playwright.sync_api import expect

from barwright.bench.phone import own_address


@pytest.fixture
def on_the_network(tmp_path: Path) -> Iterator[Served]:
    if own_address() is None:
        pytest.skip("this machine has no address but its own")
    write_small(tmp_path)
    served = start(tmp_path, "--lan")
    yield served
    stop(served)


def test_a_phone_gets_in_once_with_the_code_and_writes_a_reading(
    on_the_network: Served, opened: Opened, browser: Any
) -> None:
    desk = opened.page(on_the_network)
    settled(desk)
    desk.get_by_role("button", name="Phone").click()
    shown = desk.locator("dialog code, .panel code").first
    expect(shown).to_contain_text(f"http://{own_address()}:")
    address = shown.inner_text()
    assert address.startswith(f"http://{own_address()}:")
    phone = browser.new_context(viewport=PHONE)
    page = phone.new_page()
    page.set_default_timeout(PATIENCE)
    page.goto(address)
    settled(page)
    form = page.locator(".next form")
    form.get_by_label("Marks").fill("A D")
    form.get_by_label("Inches").fill("36 1/16")
    form.get_by_role("button", name="Write it down").click()
    desk.locator("#op-measure .evidence", has_text="from 8 readings").wait_for()
    assert "tape,A D,36 1/16,," in on_the_network.text("readings.csv")
    stranger = browser.new_context()
    stranger.set_default_timeout(PATIENCE)
    assert stranger.new_page().goto(address).status == 403
    phone.close()
    stranger.close()
