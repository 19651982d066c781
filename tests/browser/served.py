"""A shop's record served by a process of its own, and the pages a test opens there.

Every page fails its test on a console error, an error of a script, or a request that fails
without the test having said so (``Pages.expecting``).
"""

import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from urllib.error import URLError
from urllib.request import urlopen

import pytest
from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page, Request

from factories.shop import PASSWORD

CHROMIUM = "/usr/bin/chromium"
ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
DESK = (1280, 800)
TABLET = (768, 1024)
PHONE = (390, 844)
_TESTS = Path(__file__).parents[1]
_START_S = 120.0
_ECHOES = ("htmx:afterRequest", "htmx:sendAbort", "htmx:sendError")
"""What a page's script says of a request that failed: ``Pages._lost`` hears of each itself."""


def _free_port() -> int:
    with socket.socket() as door:
        door.bind(("127.0.0.1", 0))
        return int(door.getsockname()[1])


def environment_of(folder: Path) -> dict[str, str]:
    return {
        **{name: value for name, value in os.environ.items() if name != "DATABASE_URL"},
        "CASTWORTHY_DATA": str(folder),
        "DJANGO_SETTINGS_MODULE": "castworthy.server.settings",
        "PYTHONPATH": str(_TESTS),
    }


@dataclass(frozen=True)
class Server:
    """A shop's record being served."""

    address: str
    environment: dict[str, str]
    process: "subprocess.Popen[bytes]"

    def kill(self) -> None:
        """Stop it as a pulled plug does, without a word."""
        self.process.kill()
        self.process.wait(timeout=10)


@contextmanager
def serve(folder: Path, *, port: int | None = None) -> Iterator[Server]:
    """Serve the record of a folder on a free port, or on one that was free before."""
    port = port or _free_port()
    environment = environment_of(folder)
    program = f"from castworthy.server.start import serve; serve(port={port})"
    with (folder.parent / f"{folder.name}.log").open("w") as log:
        process = subprocess.Popen(
            [sys.executable, "-c", program], env=environment, stdout=log, stderr=log
        )
        address = f"http://127.0.0.1:{port}"
        try:
            _wait(address, process)
            yield Server(address=address, environment=environment, process=process)
        finally:
            process.terminate()
            process.wait(timeout=10)


def _wait(address: str, process: "subprocess.Popen[bytes]") -> None:
    until = time.monotonic() + _START_S
    while time.monotonic() < until:
        assert process.poll() is None, "the server stopped while starting"
        try:
            with urlopen(f"{address}/sign-in", timeout=2):
                return
        except (URLError, ConnectionError, TimeoutError):
            time.sleep(0.1)
    pytest.fail(f"the server at {address} did not start in {_START_S:.0f} s")


def _is_fault(said: ConsoleMessage) -> bool:
    return said.type in {"error", "warning"} and not said.text.startswith(_ECHOES)


@dataclass
class Pages:
    """Opens pages and keeps what went wrong on them."""

    browser: Browser
    address: str
    size: tuple[int, int] = DESK
    wrong: list[str] = field(default_factory=list)
    expected: tuple[str, ...] = ()
    contexts: list[BrowserContext] = field(default_factory=list)

    def expecting(self, *parts: str) -> None:
        """What goes wrong from here on is meant to, where it holds one of these words."""
        self.expected = parts

    def new(self, *, path: str = "", sign_in: str = "", dark: bool = False) -> Page:
        """A page of a browser with nothing kept, signed in as ``sign_in`` when it is given."""
        phone = self.size == PHONE
        touch = self.size in {TABLET, PHONE}
        context = self.browser.new_context(
            base_url=self.address,
            viewport={"width": self.size[0], "height": self.size[1]},
            has_touch=touch,
            is_mobile=phone,
            color_scheme="dark" if dark else "light",
        )
        self.contexts.append(context)
        page = context.new_page()
        self._watch(page)
        if sign_in:
            page.goto("/sign-in")
            page.get_by_label("Sign-in name").fill(sign_in)
            page.get_by_label("Password").fill(PASSWORD)
            page.get_by_role("button", name="Sign in").click()
            page.wait_for_url("**/")
        if path:
            page.goto(path)
        return page

    def close(self) -> None:
        """Close every browser that was opened."""
        for context in self.contexts:
            context.close()

    def _watch(self, page: Page) -> None:
        page.on("console", lambda said: self._note(_is_fault(said), said.text))
        page.on("pageerror", lambda error: self._note(True, str(error)))
        page.on("requestfailed", self._lost)

    def _lost(self, sent: Request) -> None:
        # A picture still on its way when the test leaves the page is no fault of the page.
        self._note(sent.failure != "net::ERR_ABORTED", f"{sent.failure}: {sent.url}")

    def _note(self, bad: bool, words: str) -> None:
        if bad and not any(part in words for part in self.expected):
            self.wrong.append(words)
