"""Debian's Chromium at pages served as a shop serves them: own process, record on the disk."""

import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Playwright, sync_playwright
from served import ARGUMENTS, CHROMIUM, DESK, Pages, Server, environment_of, serve

_HERE = Path(__file__).parent


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Everything in this folder drives a browser."""
    for item in items:
        if Path(item.path).is_relative_to(_HERE):
            item.add_marker(pytest.mark.browser)


@pytest.fixture(scope="session")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """The record of ``seed.py``, served."""
    folder = tmp_path_factory.mktemp("served") / "record"
    subprocess.run([sys.executable, str(_HERE / "seed.py")], env=environment_of(folder), check=True)
    with serve(folder) as served:
        yield served


@pytest.fixture
def new_server(tmp_path: Path) -> Iterator[Server]:
    """A record that nobody has opened yet, served."""
    with serve(tmp_path / "record") as served:
        yield served


@pytest.fixture(scope="session")
def playwright() -> Iterator[Playwright]:
    """The driver.  Its event loop stays open for the session, which Django must not mind."""
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "1"
    with sync_playwright() as driver:
        yield driver


@pytest.fixture(scope="session")
def browser(playwright: Playwright) -> Iterator[Browser]:
    """Debian's Chromium."""
    browser = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
    yield browser
    browser.close()


@pytest.fixture
def pages(browser: Browser, server: Server, request: pytest.FixtureRequest) -> Iterator[Pages]:
    """Pages at desk size, or at the size a test's parameter says."""
    size = getattr(request, "param", DESK)
    opened = Pages(browser=browser, address=server.address, size=size)
    yield opened
    opened.close()
    assert opened.wrong == []


@pytest.fixture
def new_pages(
    browser: Browser, new_server: Server, request: pytest.FixtureRequest
) -> Iterator[Pages]:
    """Pages of a record that nobody has opened yet."""
    size = getattr(request, "param", DESK)
    opened = Pages(browser=browser, address=new_server.address, size=size)
    yield opened
    opened.close()
    assert opened.wrong == []
