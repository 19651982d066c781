"""The command line: ``castworthy demo`` and ``castworthy serve``."""

import os
import sys
import tempfile
import webbrowser
from pathlib import Path

import click


@click.group()
@click.version_option(package_name="castworthy")
def main() -> None:
    """Carry a cylinder head from the door to the customer."""


@main.command()
@click.option("--port", default=8000, show_default=True, help="Port on 127.0.0.1.")
@click.option("--no-open", is_flag=True, help="Open no browser.")
def demo(*, port: int, no_open: bool) -> None:
    """Fill an invented shop and serve it on 127.0.0.1."""
    with tempfile.TemporaryDirectory(prefix="castworthy-demo-") as folder:
        os.environ["CASTWORTHY_DATA"] = str(Path(folder) / "shop")
        os.environ.pop("DATABASE_URL", None)
        from castworthy.server.start import prepare

        prepare()
        from django.utils import timezone

        from castworthy.demo.build import build_demo

        click.echo("Filling the invented shop ...")
        shop = build_demo(now=timezone.now())
        address = f"http://127.0.0.1:{port}/"
        click.echo(f"{shop.heads_count} heads, {shop.readings_count} readings.")
        click.echo(f"Open {address} and sign in as {shop.owner} with: {shop.password}")
        if not no_open and os.environ.get("DISPLAY"):
            webbrowser.open(address)
        _serve(host="127.0.0.1", port=port)


@main.command()
@click.option("--host", default="127.0.0.1", show_default=True, help="Address to answer on.")
@click.option("--port", default=8000, show_default=True, help="Port to answer on.")
def serve(*, host: str, port: int) -> None:
    """Serve the shop's own record."""
    click.echo(f"Serving the shop's record on http://{host}:{port}/ (Ctrl-C stops it)")
    _serve(host=host, port=port)


def _serve(*, host: str, port: int) -> None:
    from castworthy.server.start import serve as answer

    try:
        answer(host=host, port=port)
    except OSError as error:
        click.echo(
            f"Port {port} cannot be opened ({error.strerror}); name another with --port.", err=True
        )
        sys.exit(2)
