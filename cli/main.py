"""The command `lightoff`. Each command is imported only when it is asked for.

Exit codes: 0 done, 1 the answer is "no" or the knowledge has mistakes, 2 wrong use,
130 stopped at the keyboard, 141 the reader of the output went away.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from importlib import import_module
from typing import Any, NoReturn

import click

from lightoff.cli import screen
from lightoff.cli.names import WrongNameError
from lightoff.cli.options import knowledge_option, with_knowledge

# Matrices here are small: threads cost more than they give, and a study's workers would
# fight over the cores. It counts only if set before numpy is first imported.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

COMMANDS = {
    "diagnose": "lightoff.cli.diagnose:diagnose",
    "prove": "lightoff.cli.prove:prove",
    "yearly": "lightoff.cli.yearly:yearly",
    "calc": "lightoff.cli.calc:calc",
    "pocket": "lightoff.cli.pocket.command:pocket",
    "demo": "lightoff.cli.demo:demo",
    "run": "lightoff.cli.show_run:run",
    "draw": "lightoff.cli.draw.command:draw",
    "read": "lightoff.cli.read:read",
    "job": "lightoff.cli.job:job",
    "experience": "lightoff.cli.experience:experience",
    "study": "lightoff.cli.study:study",
    "knowledge": "lightoff.cli.knowledge:knowledge",
    "scenario": "lightoff.cli.scenario.command:scenario",
    "practice": "lightoff.cli.practice.command:practice",
    "self-test": "lightoff.cli.self_test:self_test",
    "progress": "lightoff.cli.progress:progress",
    "class": "lightoff.cli.classroom:class_",
}
"""Command -> module:function. The modules import nothing slow before they run."""

WRONG_USE, STOPPED, READER_GONE = 2, 130, 141

WELCOME = """\
lightoff finds out why a gas furnace stops in its ignition sequence.

You stand before a furnace that does not heat:
  lightoff diagnose                    asks, says what to check next and why
  lightoff yearly                      the yearly visit, with what drifts
  lightoff calc                        input, airflow, flue gas, pipes
  lightoff job list                    past jobs: show one, or run it again

You teach, and want to show what a fault does:
  lightoff knowledge list faults       the faults there are
  lightoff run --fault igniter.open    a call for heat with that fault, drawn
  lightoff scenario new                write a scenario, question by question
  lightoff class FOLDER                how a class gets on

You learn the trade:
  lightoff practice                    find a fault yourself, and be marked
  lightoff demo                        a diagnosis from complaint to repair

All commands: lightoff --help
"""


class LazyGroup(click.Group):
    """A group that looks its commands up in `COMMANDS` and ends in one line, never a traceback."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        module, _, function = COMMANDS[cmd_name].partition(":")
        command: click.Command = getattr(import_module(module), function)
        return with_knowledge(command)

    def invoke(self, ctx: click.Context) -> Any:  # noqa: ANN401
        """Run a command and write out what it said, before click looks at broken pipes."""
        try:
            result = super().invoke(ctx)
            sys.stdout.flush()
        except BrokenPipeError:
            _leave_quietly()
        return result

    def main(
        self,
        args: Sequence[str] | None = None,
        prog_name: str | None = None,
        complete_var: str | None = None,
        standalone_mode: bool = True,
        **extra: Any,  # noqa: ANN401
    ) -> Any:  # noqa: ANN401
        """Run, and exit with a code of this module; without `standalone_mode` raise instead."""
        if not standalone_mode:
            return super().main(args, prog_name, complete_var, False, **extra)
        screen.prepare_streams()
        try:
            code = super().main(args, prog_name, complete_var, False, **extra)
        except click.ClickException as error:
            _complain(_one_line(error), error.exit_code)
        except click.Abort:
            _complain("Stopped.", STOPPED)
        except OSError as error:
            _complain(f"lightoff: {error}", WRONG_USE)
        sys.exit(code if isinstance(code, int) else 0)


def _one_line(error: click.ClickException) -> str:
    """The error with the command it happened in, and where to read on after wrong use."""
    context = getattr(error, "ctx", None)
    command = context.command_path if context else "lightoff"
    general = isinstance(error, click.UsageError) and not isinstance(error, WrongNameError)
    hint = f" (see {command} --help)" if general else ""
    message = error.format_message()
    return f"{command}: {message.removesuffix('.') if hint else message}{hint}"


def _complain(message: str, code: int) -> NoReturn:
    lines = "\n".join(map(screen.clean, message.split("\n")))
    click.echo(lines, err=True)
    sys.exit(code)


def _leave_quietly() -> NoReturn:
    """The reader of the output has gone: let nothing be written on the way out."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    sys.exit(READER_GONE)


@click.group(
    cls=LazyGroup,
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80},
)
@knowledge_option
@click.version_option(package_name="lightoff", message="%(prog)s %(version)s")
@click.pass_context
def lightoff(context: click.Context) -> None:
    """Find out why a gas furnace stops in its ignition sequence.

    Called without a command, it says how to start.
    """
    if context.invoked_subcommand is None:
        click.echo(WELCOME, nl=False)


def main() -> None:
    """Entry point of the program."""
    lightoff.main(prog_name="lightoff")
