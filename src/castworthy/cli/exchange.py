"""``castworthy import``, ``export`` and ``verify``: heads in and out, and printed digests."""

import json
import sys
from pathlib import Path

import click

from castworthy.cli.outcome import REFUSED, InputRefusedError
from castworthy.cli.record import open_record

LARGEST_BYTES = 64 * 1024 * 1024


@click.command("export")
@click.argument("tag")
@click.option(
    "--format",
    "shape",
    type=click.Choice(["json", "csv"]),
    default="json",
    show_default=True,
    help="json: everything on record; csv: the readings that stand now.",
)
@click.option("--to", type=click.Path(path_type=Path), help="File to write; else to the screen.")
def export_command(*, tag: str, shape: str, to: Path | None) -> None:
    """Write everything known of a head to a file."""
    with open_record():
        from castworthy.records.exchange import export_head, readings_csv

        if shape == "csv":
            text = readings_csv(tag)
        else:
            text = json.dumps(export_head(tag), ensure_ascii=False, indent=1) + "\n"
    if to is None:
        click.echo(text, nl=False)
        return
    try:
        to.write_text(text, encoding="utf-8")
    except OSError as fault:
        raise InputRefusedError(
            f"{to} cannot be written ({(fault.strerror or str(fault)).lower()}); name another file."
        ) from fault
    click.echo(f"{tag} is written to {to}.")


@click.command("import")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--by", "login", help="Sign-in name of who takes it in; else the first owner.")
def import_command(*, file: Path, login: str | None) -> None:
    """Take a head in from a file that export wrote."""
    content = _read(file)
    with open_record():
        from castworthy.actions.exchange import import_head
        from castworthy.actions.people import owner_named

        answer = import_head(file=content, by=owner_named(login or ""))
    if answer.new:
        click.echo(f"{answer.tag} is on record now, with {answer.readings_count} readings.")
    else:
        click.echo(f"{answer.tag} was on record just so; nothing was changed.")


@click.command("verify")
@click.argument("tag")
@click.argument("digest", nargs=-1, required=True)
def verify_command(*, tag: str, digest: tuple[str, ...]) -> None:
    """Say whether a release's printed digest still matches its record.

    DIGEST may be typed in its printed groups of four.
    """
    with open_record():
        from castworthy.records.lookups.release_content import verify_release

        answer = verify_release(tag, digest="".join(digest))
    click.echo(answer.sentence, err=not answer.matches)
    if not answer.matches:
        sys.exit(REFUSED)


def _read(file: Path) -> dict[str, object]:
    try:
        if file.stat().st_size > LARGEST_BYTES:
            raise InputRefusedError(f"{file} is larger than any head export writes.")
        content = json.loads(file.read_text(encoding="utf-8"))
    except OSError as fault:
        why = (fault.strerror or str(fault)).lower()
        raise InputRefusedError(f"{file} cannot be read ({why}).") from fault
    except (ValueError, RecursionError) as fault:
        raise InputRefusedError(
            f"{file} is no JSON that export wrote; export the head again."
        ) from fault
    if not isinstance(content, dict):
        raise InputRefusedError(f"{file} holds no head; export the head again.")
    return content
