"""``castworthy docs``: the generated parts of docs/, written again."""

import json
from pathlib import Path

import click

from castworthy.cli.outcome import InputRefusedError

SCHEMA = Path("reference") / "sheet.schema.json"


@click.command("docs", hidden=True)
@click.option(
    "--folder",
    type=click.Path(path_type=Path, file_okay=False),
    default=Path("docs"),
    show_default=True,
    help="Folder of the pages.",
)
def docs_command(*, folder: Path) -> None:
    """Write the generated parts of docs/ again."""
    from castworthy.cli.reference import filled

    if not (folder / "reference").is_dir():
        raise InputRefusedError(
            f"{folder} is not the project's docs folder; name it with --folder."
        )
    pages = sorted(folder.rglob("*.md"))
    wanted = {page: filled(page.read_text(encoding="utf-8")) for page in pages}
    wanted[folder / SCHEMA] = schema_text()
    changed = [page for page, text in wanted.items() if _differs(page, text)]
    for page in changed:
        page.write_text(wanted[page], encoding="utf-8")
    click.echo(f"{len(wanted)} pages, {len(changed)} written anew.")


def schema_text() -> str:
    """The published schema of a spec sheet."""
    from castworthy.sheets.schema import sheet_schema

    return json.dumps(sheet_schema(), indent=2, ensure_ascii=False) + "\n"


def _differs(page: Path, text: str) -> bool:
    return not page.exists() or page.read_text(encoding="utf-8") != text
