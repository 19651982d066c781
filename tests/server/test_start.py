"""Starting up: tables made, journal safe, pages answered with their headers, stopped cleanly."""

import signal
import socket
import sqlite3
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from http.client import HTTPResponse
from pathlib import Path

import pytest

SERVE = """
import sys
from castworthy.server.start import serve
serve(port=int(sys.argv[1]))
"""
JOURNAL = """
from castworthy.server.start import prepare
prepare()
from django.db import connection
with connection.cursor() as cursor:
    for name in ("journal_mode", "synchronous", "foreign_keys", "busy_timeout"):
        print(name, cursor.execute(f"PRAGMA {name}").fetchone()[0])
"""
STATIC = "/static/castworthy/own/castworthy.css"


class _Stay(urllib.request.HTTPRedirectHandler):
    def redirect_request(self, *_: object) -> None:
        return None


OPEN = urllib.request.build_opener(_Stay)


def ask(address: str, *, host: str = "localhost") -> HTTPResponse | urllib.error.HTTPError:
    request = urllib.request.Request(address, headers={"Host": host})
    try:
        return OPEN.open(request, timeout=20)
    except urllib.error.HTTPError as answer:
        return answer


@pytest.fixture
def server(own_record: dict[str, str]) -> Iterator[str]:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    process = subprocess.Popen([sys.executable, "-c", SERVE, str(port)], env=own_record)
    until = time.monotonic() + 60
    while time.monotonic() < until:
        with socket.socket() as tried:
            if tried.connect_ex(("127.0.0.1", port)) == 0:
                break
        assert process.poll() is None
        time.sleep(0.1)
    yield f"http://127.0.0.1:{port}"
    process.send_signal(signal.SIGTERM)
    process.wait(timeout=20)


def test_the_record_keeps_a_safe_journal(own_record: dict[str, str]) -> None:
    on_disk = {key: value for key, value in own_record.items() if key != "DATABASE_URL"}
    said = subprocess.run(
        [sys.executable, "-c", JOURNAL],
        env=on_disk,
        capture_output=True,
        text=True,
        check=True,
    ).stdout
    found = dict(line.split() for line in said.splitlines())
    assert found == {
        "journal_mode": "wal",
        "synchronous": "2",
        "foreign_keys": "1",
        "busy_timeout": "20000",
    }
    file = Path(own_record["CASTWORTHY_DATA"]) / "castworthy.sqlite3"
    with sqlite3.connect(file) as record:
        tables = {row[0] for row in record.execute("SELECT name FROM sqlite_master")}
    assert {"records_head", "records_reading", "records_trail"} <= tables


def test_every_answer_carries_the_secure_headers(server: str) -> None:
    for page in ("/", "/nothing-here", STATIC):
        with ask(f"{server}{page}") as answer:
            headers = answer.headers
        assert "default-src" in headers["Content-Security-Policy"], page
        assert "unsafe" not in headers["Content-Security-Policy"]
        assert headers["X-Content-Type-Options"] == "nosniff"
        assert headers["Referrer-Policy"] == "same-origin"
        if page != STATIC:
            assert headers["X-Frame-Options"] == "DENY"


def test_before_the_first_run_every_page_leads_to_it(server: str) -> None:
    with ask(f"{server}/") as answer:
        assert (answer.status, answer.headers["Location"]) == (302, "/start")


def test_a_page_that_is_none_shows_no_workings(server: str) -> None:
    with ask(f"{server}/static/none.css") as answer:
        body = answer.read().decode()
    assert answer.status == 404
    assert "urlpatterns" not in body
    assert "Traceback" not in body


def test_styles_are_served_and_may_be_kept(server: str) -> None:
    with ask(f"{server}{STATIC}") as answer:
        assert answer.status == 200
        assert answer.headers["Content-Type"].startswith("text/css")
        assert "max-age" in answer.headers["Cache-Control"]


def test_a_strange_host_is_turned_away(server: str) -> None:
    with ask(f"{server}/", host="elsewhere.example") as answer:
        assert answer.status == 400
        assert "ALLOWED_HOSTS" not in answer.read().decode()
