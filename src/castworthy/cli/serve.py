"""``castworthy serve`` and ``castworthy demo``: the pages, from this machine."""

import os
import sys
import tempfile
import threading
import webbrowser
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import click

from castworthy.cli.outcome import InputRefusedError
from castworthy.cli.record import open_record

_PORT = click.IntRange(1, 65535)
_OPEN_AFTER_S = 1.0


@click.command("serve")
@click.option("--host", default="127.0.0.1", show_default=True, help="Address to answer on.")
@click.option("--port", default=8000, show_default=True, type=_PORT, help="Port to answer on.")
def serve_command(*, host: str, port: int) -> None:
    """Serve the shop's own record to browsers.

    The record lies in CASTWORTHY_DATA, else in this person's data folder; DATABASE_URL names a
    PostgreSQL server instead. Tables are brought up to date first.
    """
    _check_port(host=host, port=port)
    with open_record():
        click.echo(f"The shop's record is served on {address(host, port)} (Ctrl-C stops it).")
        _serve(host=host, port=port)


@click.command("demo")
@click.option("--port", default=8000, show_default=True, type=_PORT, help="Port on 127.0.0.1.")
@click.option("--no-open", is_flag=True, help="Open no browser.")
def demo_command(*, port: int, no_open: bool) -> None:
    """Fill an invented shop and serve it on this machine.

    The shop lies in a folder of its own that goes away when the demo stops; a shop's own record
    is never touched.
    """
    _check_port(host="127.0.0.1", port=port)
    with _folder_of_its_own(), open_record():
        click.echo("Filling the invented shop ...")
        _fill()
        where = address("127.0.0.1", port)
        if not no_open and _has_browser():
            opening = threading.Timer(_OPEN_AFTER_S, webbrowser.open, args=(where,))
            opening.daemon = True
            opening.start()
        click.echo(f"Served on {where} (Ctrl-C stops it).")
        _serve(host="127.0.0.1", port=port)


def address(host: str, port: int) -> str:
    """What a person types into a browser."""
    named = {"0.0.0.0": "127.0.0.1", "": "127.0.0.1", "::": "[::1]"}.get(host, host)  # noqa: S104
    return f"http://{f'[{named}]' if ':' in named and not named.startswith('[') else named}:{port}/"


def _fill() -> None:
    from django.utils import timezone

    from castworthy.demo.build import build_demo

    shop = build_demo(now=timezone.now())
    click.echo(
        f"{shop.heads_count} heads, {shop.readings_count} readings. "
        f"Sign in as {shop.owner} with the password: {shop.password}"
    )


@contextmanager
def _folder_of_its_own() -> Iterator[None]:
    """A data folder that lasts as long as the demo, whatever the environment says."""
    with tempfile.TemporaryDirectory(prefix="castworthy-demo-", ignore_cleanup_errors=True) as made:
        kept = {name: os.environ.get(name) for name in ("CASTWORTHY_DATA", "DATABASE_URL")}
        os.environ["CASTWORTHY_DATA"] = str(Path(made) / "shop")
        os.environ.pop("DATABASE_URL", None)
        try:
            yield
        finally:
            for name, value in kept.items():
                if value is None:
                    os.environ.pop(name, None)
                else:
                    os.environ[name] = value


def _has_browser() -> bool:
    if sys.platform in ("win32", "darwin"):
        return True
    return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))


def _check_port(*, host: str, port: int) -> None:
    """Refuse a port that cannot be opened before any work is done."""
    import socket

    try:
        found = socket.getaddrinfo(host or None, port, type=socket.SOCK_STREAM)
        family, kind, protocol, _, where = found[0]
        with socket.socket(family, kind, protocol) as trial:
            if os.name == "posix":
                trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            trial.bind(where)
    except OSError as fault:
        why = (fault.strerror or str(fault)).lower()
        raise InputRefusedError(
            f"Port {port} on {host} cannot be opened ({why}); name another with --port."
        ) from fault


def _serve(*, host: str, port: int) -> None:
    from castworthy.server.start import serve

    serve(host=host, port=port)
