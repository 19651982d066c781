"""The command line's front: which commands there are, and how every fault is told.

Each command's module is loaded when it is called, so that ``--help`` answers at once.
Exit codes: 0 answered, 1 a fault, 2 bad input, 3 refused.
"""

import importlib
import os
import sys
import traceback
from collections.abc import Sequence
from typing import Any

import click

from castworthy.cli.outcome import BAD_INPUT, FAULT, FAULTS_OF_INPUT, InputRefusedError

COMMANDS: dict[str, tuple[str, str]] = {
    "judge": ("judge", "Say what every reading is worth and what to do with the head."),
    "plan": ("plan", "Work out the least work that brings every limit in."),
    "trace": ("trace", "Evaluate surface traces and say what made the surface."),
    "feed": ("feed", "Work out the feed that gives a wanted finish."),
    "deck": ("deck", "Find a deck's flatness and the least cut that cleans it."),
    "seat": ("seat", "Work out how a sunk seat widens and the cuts that narrow it."),
    "insert": ("insert", "Work out an insert's press fit and how it is fitted hot and cold."),
    "guide": ("guide", "Work out a stem's clearance in its guide, and the guide's fit."),
    "spring": ("spring", "Work out a spring's loads and shims, or match a set."),
    "ratio": ("ratio", "Work out a compression ratio before and after cuts."),
    "piston": ("piston", "Work out how near a valve and the head come to the piston."),
    "injector": ("injector", "Work out an injector's stand after a cut, and its washers."),
    "ring": ("ring", "Work out a sealing ring in its groove, its lands and its joint."),
    "leak": ("leak", "Find a port's leak from the log of its vacuum."),
    "pressure": ("pressure", "Take the temperature out of a pressure test; tell its energy."),
    "clamp": ("clamp", "Work out what the studs hold the head down with."),
    "serve": ("serve", "Serve the shop's own record to browsers."),
    "demo": ("serve", "Fill an invented shop and serve it on this machine."),
    "doctor": ("doctor", "Say what is wrong with the set-up and how to mend it."),
    "import": ("exchange", "Take a head in from a file that export wrote."),
    "export": ("exchange", "Write everything known of a head to a file."),
    "verify": ("exchange", "Say whether a release's printed digest still matches its record."),
}
"""Every command: the module it lives in and what it does."""

HIDDEN = {"docs": "docs"}
"""Commands for those who work on Castworthy itself: the module each lives in."""

TRACE = "CASTWORTHY_TRACE"


class Front(click.Group):
    """A group that loads commands late and tells every fault in one line on stderr."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Commands in the order a person meets them."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of that name, loaded now."""
        named = COMMANDS[cmd_name][0] if cmd_name in COMMANDS else HIDDEN.get(cmd_name)
        if named is None:
            return None
        module = importlib.import_module(f"castworthy.cli.{named}")
        command: click.Command = getattr(module, f"{cmd_name}_command")
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The list of commands, without loading one."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, says) for name, (_, says) in COMMANDS.items()])

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """As click does, with the nearest command named when there is none of that name."""
        name = args[0]
        if name not in (COMMANDS | HIDDEN) and not name.startswith("-"):
            from castworthy.sheets.inspection import did_you_mean

            raise click.UsageError(
                f"There is no command {name!r}{did_you_mean(name, COMMANDS)} "
                f"Commands: {', '.join(COMMANDS)}.",
                ctx,
            )
        return super().resolve_command(ctx, args)

    def main(  # type: ignore[override]
        self,
        args: Sequence[str] | None = None,
        prog_name: str | None = None,
        standalone_mode: bool = True,  # noqa: FBT001, FBT002 - click's own signature
        **extra: Any,
    ) -> Any:
        """Run, and leave with the exit code the outcome has."""
        if not standalone_mode:
            return super().main(args, prog_name, standalone_mode=False, **extra)
        try:
            sys.exit(super().main(args, prog_name, standalone_mode=False, **extra) or 0)
        except (click.exceptions.Exit, click.Abort) as stop:
            sys.exit(stop.exit_code if isinstance(stop, click.exceptions.Exit) else 130)
        except click.ClickException as fault:
            _leave(fault.format_message(), code=BAD_INPUT)
        except BrokenPipeError:
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            sys.exit(0)
        except KeyboardInterrupt:
            sys.exit(130)
        except InputRefusedError as refused:
            _leave(str(refused), code=refused.code)
        except Exception as fault:  # noqa: BLE001 - no traceback reaches a person
            _leave_by(fault)


def _leave_by(fault: Exception) -> None:
    """Bad input that a room below found keeps its sentence; anything else is our fault."""
    if type(fault).__name__ in FAULTS_OF_INPUT:
        _leave(str(fault), code=BAD_INPUT)
    if os.environ.get(TRACE):
        traceback.print_exc()
    said = " ".join(str(fault).split()) or "no message"
    _leave(
        f"Castworthy stopped by a fault of its own ({type(fault).__name__}: {said}). "
        f"Nothing was changed; {TRACE}=1 shows where.",
        code=FAULT,
    )


def _leave(sentence: str, *, code: int) -> None:
    click.echo(sentence, err=True)
    sys.exit(code)


@click.group(
    cls=Front,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.version_option(package_name="castworthy", message="castworthy %(version)s")
def main() -> None:
    """Carry a cylinder head from the door to the customer.

    Quantities carry their unit: 0.035in, 35thou, 0.89mm, 18uin, 40psi.
    Exit codes: 0 answered, 1 a fault, 2 bad input, 3 refused.
    """
