"""``castworthy serve`` and ``castworthy demo`` as processes that answer."""

import os
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from castworthy.cli.serve import address


def free_port() -> int:
    with socket.socket() as trial:
        trial.bind(("127.0.0.1", 0))
        return int(trial.getsockname()[1])


def environment(data: Path) -> dict[str, str]:
    env = {k: v for k, v in os.environ.items() if k not in ("DATABASE_URL", "DISPLAY")}
    return {**env, "CASTWORTHY_DATA": str(data), "PYTHONUNBUFFERED": "1"}


@contextmanager
def serving(*words: str, data: Path) -> Iterator[subprocess.Popen[str]]:
    process = subprocess.Popen(
        [sys.executable, "-m", "castworthy", *words],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=environment(data),
    )
    try:
        yield process
    finally:
        if process.poll() is None:
            process.send_signal(signal.SIGTERM)
        process.communicate(timeout=30)


def opened(port: int, *, within_s: float = 120.0) -> str:
    """The address a first visit ends at."""
    until = time.monotonic() + within_s
    while True:
        try:
            with urllib.request.urlopen(f"http://127.0.0.1:{port}/", timeout=10) as page:
                return page.geturl()
        except (urllib.error.URLError, ConnectionError):
            if time.monotonic() > until:
                raise
            time.sleep(0.2)


def test_serve_opens_the_first_run_page_on_an_empty_folder(tmp_path: Path) -> None:
    port = free_port()
    with serving("serve", "--port", str(port), data=tmp_path / "shop") as process:
        assert opened(port).endswith("/start")
        process.send_signal(signal.SIGTERM)
        out, err = process.communicate(timeout=30)

    assert f"served on http://127.0.0.1:{port}/" in out
    assert "Traceback" not in err
    assert (tmp_path / "shop" / "castworthy.sqlite3").exists()


def test_demo_fills_a_shop_of_its_own_and_leaves_the_shops_record_alone(tmp_path: Path) -> None:
    port = free_port()
    with serving("demo", "--no-open", "--port", str(port), data=tmp_path / "shop") as process:
        assert "/sign-in" in opened(port, within_s=300)
        process.send_signal(signal.SIGTERM)
        out, err = process.communicate(timeout=30)

    assert "Sign in as " in out
    assert "Traceback" not in err
    assert not (tmp_path / "shop").exists()


def test_a_taken_port_is_one_sentence(tmp_path: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        for words in (("serve",), ("demo", "--no-open")):
            result = subprocess.run(
                [sys.executable, "-m", "castworthy", *words, "--port", str(port)],
                capture_output=True,
                text=True,
                timeout=60,
                env=environment(tmp_path / "shop"),
            )
            assert (result.returncode, result.stdout) == (2, "")
            assert result.stderr == (
                f"Port {port} on 127.0.0.1 cannot be opened (address already in use); name another "
                "with --port.\n"
            )


@pytest.mark.parametrize(
    ("variables", "code", "said"),
    [
        ({"DATABASE_URL": "nonsense"}, 2, "DATABASE_URL is no address of a database"),
        ({"DATABASE_URL": "postgres://a:b@127.0.0.1:1/c"}, 1, "castworthy doctor says how to mend"),
        ({"CASTWORTHY_DATA": "/proc/shop"}, 1, "cannot be written"),
    ],
)
def test_a_record_that_cannot_be_opened_is_one_sentence(
    tmp_path: Path, variables: dict[str, str], code: int, said: str
) -> None:
    result = subprocess.run(
        [sys.executable, "-m", "castworthy", "serve", "--port", str(free_port())],
        capture_output=True,
        text=True,
        timeout=60,
        env={**environment(tmp_path / "shop"), **variables},
    )

    assert (result.returncode, result.stdout) == (code, "")
    assert said in result.stderr
    assert len(result.stderr.splitlines()) == 1


@pytest.mark.parametrize(
    ("host", "shown"),
    [
        ("127.0.0.1", "http://127.0.0.1:8000/"),
        ("0.0.0.0", "http://127.0.0.1:8000/"),
        ("::1", "http://[::1]:8000/"),
        ("::", "http://[::1]:8000/"),
        ("bench.shop", "http://bench.shop:8000/"),
    ],
)
def test_addresses_a_browser_takes(host: str, shown: str) -> None:
    assert address(host, 8000) == shown
