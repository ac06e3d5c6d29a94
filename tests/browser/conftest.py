"""A real server, a real browser: Debian's chromium, driven by Playwright, on this machine only."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from bench_pages import (
    CHROMIUM,
    DESK,
    FLAGS,
    HERON,
    PATIENCE,
    Opened,
    Served,
    start,
    stop,
    write_small,
)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Every test here needs the browser; where it is missing each says which package brings it."""
    here = Path(__file__).parent
    for item in items:
        if here in item.path.parents:
            item.add_marker(pytest.mark.browser)
            if not Path(CHROMIUM).exists():
                item.add_marker(pytest.mark.skip("needs Debian's package chromium"))


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver:
        opened = driver.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))
        yield opened
        opened.close()


@pytest.fixture(scope="session")
def heron(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """The Heron, for tests that only look."""
    folder = tmp_path_factory.mktemp("bench") / "heron"
    shutil.copytree(HERON, folder)
    served = start(folder)
    yield served
    stop(served)


@pytest.fixture(scope="session")
def two_bars(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    folder = tmp_path_factory.mktemp("bench") / "two-bars"
    folder.mkdir()
    write_small(folder)
    served = start(folder)
    yield served
    stop(served)


@pytest.fixture
def small(two_bars: Served) -> Served:
    """A job of two bars as it was at first, for tests that write; the server is one for all."""
    write_small(two_bars.folder)
    return two_bars


@pytest.fixture
def empty(tmp_path: Path) -> Iterator[Served]:
    """A job just begun with `barwright new`."""
    from barwright.job.new import start as begin

    begin(tmp_path / "new")
    served = start(tmp_path / "new")
    yield served
    stop(served)


@pytest.fixture
def opened(browser: Any) -> Iterator[Opened]:
    """Opens pages; afterwards none may have complained or asked anything of another machine."""
    contexts, asked, wrong = [], list[str](), list[str]()

    def page(served: Served, size: Any = DESK, scheme: str = "light", **more: Any) -> Any:
        context = browser.new_context(viewport=size, color_scheme=scheme, **more)
        contexts.append(context)
        fresh = context.new_page()
        fresh.set_default_timeout(PATIENCE)
        fresh.on("request", lambda r: asked.append(r.url))
        fresh.on("pageerror", lambda e: wrong.append(str(e)))
        fresh.on("console", lambda m: wrong.append(m.text) if m.type == "error" else None)
        fresh.goto(served.address)
        fresh.locator(".card h1").wait_for()
        return fresh

    yield Opened(page=page, asked=asked, wrong=wrong)
    for context in contexts:
        context.close()
    assert [w for w in wrong if "409" not in w and "422" not in w] == []
    assert [a for a in asked if not a.startswith(("http://127.0.0.1:", "blob:", "data:"))] == []
