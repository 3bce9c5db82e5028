"""The frame of the command line: what every command promises."""

import os
import pty
import shlex
import subprocess
import sys
from collections.abc import Iterator

import click
import pytest
from click.testing import CliRunner

from lightoff.cli import names
from lightoff.cli.main import COMMANDS, READER_GONE, STOPPED, lightoff
from lightoff.engine.library import KnowledgeError
from lightoff.engine.model import Place
from lightoff.engine.strict_yaml import Problem

SLOW = ("numpy", "networkx", "rich", "experta")
PROGRAM = [sys.executable, "-c", "from lightoff.cli.main import main; main()"]


def run(*arguments: str, **extra: object) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run([*PROGRAM, *arguments], capture_output=True, check=False, **extra)  # type: ignore[call-overload]


def every_command(
    command: click.Command = lightoff, path: tuple[str, ...] = ()
) -> Iterator[tuple[str, ...]]:
    yield path
    if isinstance(command, click.Group):
        context = click.Context(command)
        for name in command.list_commands(context):
            inner = command.get_command(context, name)
            assert inner is not None
            yield from every_command(inner, (*path, name))


def test_alone_it_says_how_each_of_three_people_starts() -> None:
    result = CliRunner().invoke(lightoff, [])
    assert result.exit_code == 0
    for start in ("lightoff diagnose", "lightoff run --fault", "lightoff demo"):
        assert start in result.stdout
    assert len(result.stdout.splitlines()) < 20
    assert max(map(len, result.stdout.splitlines())) < 80


def test_every_command_named_in_the_welcome_can_be_run() -> None:
    shown = CliRunner().invoke(lightoff, []).stdout
    named = [line.split()[1] for line in shown.splitlines() if line.startswith("  lightoff ")]
    assert named
    assert set(named) <= set(COMMANDS)


@pytest.mark.parametrize("path", [" ".join(path) for path in every_command()])
def test_every_command_has_help_within_80_columns(path: str) -> None:
    result = CliRunner().invoke(lightoff, [*path.split(), "--help"])
    assert result.exit_code == 0
    assert result.stdout.startswith(f"Usage: lightoff {path}".rstrip())
    assert max(map(len, result.stdout.splitlines())) <= 80


def test_short_helps_are_not_cut_off() -> None:
    for path in ([], ["knowledge"]):
        assert (
            "..."
            not in CliRunner().invoke(lightoff, [*path, "--help"]).stdout.split("Commands:")[1]
        )


def test_version_names_program_and_number() -> None:
    result = run("--version")
    assert result.returncode == 0
    assert result.stdout.startswith(b"lightoff 0.")


@pytest.mark.parametrize(
    "arguments",
    [
        (),
        ("--help",),
        ("--version",),
        ("nonsense",),
        ("run", "--nonsense"),
        ("knowledge", "list", "nonsense"),
        *((command, "--help") for command in COMMANDS),
    ],
    ids=" ".join,
)
def test_help_and_errors_of_use_import_nothing_slow(arguments: tuple[str, ...]) -> None:
    code = f"""
import sys
from lightoff.cli.main import lightoff
try:
    lightoff.main({list(arguments)!r}, prog_name="lightoff")
finally:
    print("IMPORTED", [name for name in {SLOW!r} if name in sys.modules])
"""
    result = subprocess.run([sys.executable, "-c", code], capture_output=True, check=False)
    assert result.stdout.endswith(b"IMPORTED []\n")


def test_completion_imports_nothing_slow_and_offers_the_commands() -> None:
    code = f"""
import atexit, sys
atexit.register(lambda: print("IMPORTED", [n for n in {SLOW!r} if n in sys.modules]))
from lightoff.cli.main import main
main()
"""
    environment = {
        **os.environ,
        "_LIGHTOFF_COMPLETE": "bash_complete",
        "COMP_WORDS": "lightoff kn",
        "COMP_CWORD": "1",
    }
    result = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, check=False, env=environment
    )
    assert b"plain,knowledge" in result.stdout
    assert result.stdout.endswith(b"IMPORTED []\n")


@pytest.mark.parametrize(
    "arguments",
    [
        ["nonsense"],
        ["--nonsense"],
        ["run", "--nonsense"],
        ["run", "--furnace", "two-pipe"],
        ["run", "--fault", "igniter.opn"],
        ["read", "R", "C"],
        ["read", "--step", "heatin", "R", "C"],
        ["read", "--step", "heating", "R", "Q"],
        ["knowledge", "list", "nonsense"],
        ["knowledge", "show", "part", "nonsense"],
        ["knowledge", "check", "/no/such/folder"],
    ],
    ids=" ".join,
)
def test_wrong_use_is_one_line_on_stderr_and_exit_2(arguments: list[str]) -> None:
    result = CliRunner().invoke(lightoff, arguments)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert len(result.stderr.splitlines()) == 1
    assert result.stderr.startswith("lightoff")


@pytest.mark.parametrize(
    ("arguments", "near"),
    [
        (["run", "--furnace", "two-pipe"], "did you mean two-pipe-condensing?"),
        (["run", "--fault", "igniter.opn"], "did you mean igniter.open"),
        (["run", "--fault", "stuck-closed"], "pressure-switch.stuck-closed"),
        (["read", "--step", "heatin", "R", "C"], "did you mean heating?"),
        (["read", "--step", "heating", "PS-OUTT", "C"], "PS-OUT"),
        (["knowledge", "show", "repair", "replace-ignitor"], "did you mean replace-igniter?"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, list) else "",
)
def test_a_wrong_name_gets_the_nearest_right_ones(arguments: list[str], near: str) -> None:
    assert near in CliRunner().invoke(lightoff, arguments).stderr


def test_a_wrong_name_cannot_steer_the_terminal() -> None:
    hostile = "\x1b[2J\u202efault\x9b31m" + "x" * 10_000
    result = CliRunner().invoke(lightoff, ["run", "--fault", hostile])
    assert result.exit_code == 2
    assert not {"\x1b", "\x9b", "\u202e"} & set(result.stderr)
    assert len(result.stderr) < 400


def test_mistakes_in_the_knowledge_end_in_exit_1_with_their_lines(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    problem = Problem(Place("parts/air.yaml", 7), "no repair is called 'x'", "did you mean y?")

    def broken() -> None:
        raise KnowledgeError([problem])

    monkeypatch.setattr("lightoff.engine.library.load", broken)
    result = CliRunner().invoke(lightoff, ["run"])
    assert result.exit_code == 1
    assert "parts/air.yaml:7: no repair is called 'x'; did you mean y?" in result.stderr
    assert result.stdout == ""


@pytest.mark.parametrize("stop", [KeyboardInterrupt, EOFError])
def test_ctrl_c_and_end_of_input_leave_no_traceback(
    stop: type[BaseException], monkeypatch: pytest.MonkeyPatch
) -> None:
    def stopped() -> None:
        raise stop

    monkeypatch.setattr(names, "load_knowledge", stopped)
    result = CliRunner().invoke(lightoff, ["run"])
    assert result.exit_code == STOPPED
    assert result.stderr.strip() == "Stopped."


@pytest.mark.parametrize("form", [(), ("--json",)])
def test_a_reader_that_goes_away_is_no_error_on_the_screen(form: tuple[str, ...]) -> None:
    arguments = ("run", "--all", "--fault", "neutral-wire.loose", *form)
    with subprocess.Popen(
        [*PROGRAM, *arguments], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.readline()
        process.stdout.close()
        complaint = process.stderr.read()
    assert complaint == b""
    assert process.returncode == READER_GONE


@pytest.mark.skipif(sys.platform == "win32", reason="needs a shell")
@pytest.mark.parametrize("arguments", ["", "run", "run --json", "run --nonsense 2>&-"])
def test_a_closed_output_leaves_no_traceback(arguments: str) -> None:
    command = f"{shlex.join(PROGRAM)} {arguments} >&-"
    result = subprocess.run(command, shell=True, stderr=subprocess.PIPE, check=False)
    assert result.returncode == (2 if "nonsense" in arguments else 0)
    assert result.stderr == b""


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="no full device here")
def test_a_full_disk_is_one_line() -> None:
    with open("/dev/full", "wb") as full:
        result = subprocess.run([*PROGRAM, "run"], stdout=full, stderr=subprocess.PIPE, check=False)
    assert result.returncode == 2
    assert len(result.stderr.splitlines()) == 1


def test_an_ascii_terminal_gets_ascii_and_no_crash() -> None:
    result = run("run", env={**os.environ, "PYTHONIOENCODING": "ascii"})
    assert result.returncode == 0
    assert result.stdout.isascii()
    assert b"####" in result.stdout


def on_a_terminal(*arguments: str, **environment: str) -> bytes:
    """What a command writes to a terminal."""
    ours, its = pty.openpty()
    wanted = {**os.environ, "TERM": "xterm-256color", "COLUMNS": "80", **environment}
    wanted = {name: value for name, value in wanted.items() if value}
    with subprocess.Popen([*PROGRAM, *arguments], stdout=its, stdin=its, env=wanted):
        os.close(its)
        written = b""
        while True:
            try:
                chunk = os.read(ours, 65536)
            except OSError:
                break
            if not chunk:
                break
            written += chunk
    os.close(ours)
    return written


def test_a_terminal_gets_colour_unless_no_color_is_set() -> None:
    page = ("knowledge", "list", "furnaces")
    assert b"\x1b[" in on_a_terminal(*page, NO_COLOR="")
    assert b"\x1b[" not in on_a_terminal(*page, NO_COLOR="1")
