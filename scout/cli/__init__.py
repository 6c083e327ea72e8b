"""The command `scout`: one module a command, loaded only when it is asked for, errors on stderr
with their exit code.

Exit codes: 0 done, 1 it failed (a damaged file, a database that does not answer, a check that
    found faults), 2 what was given cannot be accepted.
"""

from __future__ import annotations

import errno
import importlib
import io
import os
import sys
from contextvars import copy_context

import click

from scout import __version__
from scout.errors import NotFound, Refused, RefusedMany, ScoutError
from scout.values import Name, Said, said

COMMANDS = {
    "assess": "work out everything a room sheet allows, with no database",
    "backup": "everything, to a file or into a folder of backups",
    "bench": "measure speed as ratios against a named floor",
    "check": "prove that database, photos and packets are whole",
    "choose": "say which of the rooms proposed for a scene to take, or which scenes a room would serve",
    "day": "plan a production's days: order, times, calls, what clashes",
    "daylight": "look closer at a room sheet's daylight: contrast, flare, steady light, the floor, the year",
    "demo": "make a fresh data folder with the demonstration, print its packet, and serve it",
    "export": "write a room sheet, or everything, to a file",
    "findings": "list every finding and act there can be, with its figures and an example",
    "import": "read a room sheet, or everything, from a file",
    "move": "everything to another database or another store of files, while people work",
    "packet": "print a production's packet",
    "person": "hand somebody all that is kept of them, or erase it",
    "photo": "say what is read from a photo",
    "recording": "measure a recording of a room: levels, bands, hum, events",
    "restore": "a backup into an empty database, checked when it is there",
    "schema": "print the JSON Schema of the room sheet",
    "serve": "serve the pages",
    "sun": "the sun's day at a place, and where it stands at a time",
    "token": "let programs ask the JSON API in a person's name",
    "user": "let people log in",
    "workspace": "several groups of people on one server, each by itself",
    "work": "print the packets that are asked for, apart from the pages",
}


WORKSPACE = "SILLBOOK_WORKSPACE"


# commands that keep: with several workspaces each of them asks for one
OF_ONE = frozenset(
    [
        "backup",
        "check",
        "choose",
        "day",
        "demo",
        "export",
        "import",
        "move",
        "packet",
        "person",
        "restore",
        "serve",
        "token",
        "user",
        "work",
    ]
)


def _offer_workspace(command: click.Command) -> None:
    """Give a command, or each of a group, the option that names a workspace."""
    if isinstance(command, click.Group):
        for one in command.commands.values():
            _offer_workspace(one)
    elif all(one.name != "workspace" for one in command.params):
        words = "Whose: one of the groups under SILLBOOK_WORKSPACES."
        command.params.append(
            click.Option(["--workspace"], expose_value=False, callback=_choose, help=words)
        )


def _choose(ctx: click.Context, _param: click.Parameter, name: str | None) -> None:
    """Let the command run as if the environment had named the workspace."""
    if name is None:
        return
    before = os.environ.get(WORKSPACE)
    os.environ[WORKSPACE] = name

    def back() -> None:
        if before is None:
            os.environ.pop(WORKSPACE, None)
        else:
            os.environ[WORKSPACE] = before

    ctx.find_root().call_on_close(back)


class LazyGroup(click.Group):
    """A group whose commands are imported when called: `scout sun` need not load the web."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """The commands, in their order."""
        return sorted(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of that name."""
        if cmd_name not in COMMANDS:
            return None
        module = importlib.import_module(f"scout.cli.{cmd_name}_command")
        command: click.Command = module.command
        if cmd_name in OF_ONE:
            _offer_workspace(command)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The list of commands, without importing any."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, COMMANDS[name]) for name in sorted(COMMANDS)])


@click.group(cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="scout")
def cli() -> None:
    """Sillbook: record rooms on a scout, see what they will do, choose, and print the crew's
    packet.
    """
    # a fifth of a second that --version and --help do without; words say all that follows
    from scout import words
    from scout.settings import units_of

    words.set_reader(words.Reader(units_of(os.environ)))


def _said(error: OSError) -> Said:
    if error.errno in (errno.ENOSPC, errno.EDQUOT):
        return said("look.disk_full")
    if error.filename and error.strerror:
        return said("look.unreadable", file=Name(str(error.filename)), why=Name(error.strerror))
    return said("look.failed", why=Name(str(error)))


def main() -> None:
    """Run a command, what it prints in the installation's units; turn errors into a message on
    stderr and an exit code.
    """
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(
                errors="backslashreplace"
            )  # a name that the terminal cannot show is no reason to stop
    sys.exit(copy_context().run(_run))  # who reads is as before for whoever calls this


def _run() -> int:
    try:
        result = cli.main(standalone_mode=False)
    except click.exceptions.Exit as leave:
        return int(leave.exit_code)
    except click.Abort:
        click.echo("stopped", err=True)
        return 1
    except click.ClickException as error:
        error.show()
        return 2
    except (Refused, RefusedMany, NotFound) as error:
        click.echo(str(error), err=True)
        return 2
    except ScoutError as error:
        click.echo(str(error), err=True)
        return 1
    except BrokenPipeError:
        os.dup2(
            os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno()
        )  # the reader left; the interpreter must not complain at exit
        return 1
    except OSError as error:
        click.echo(_said(error), err=True)
        return 1
    except (RecursionError, MemoryError) as error:
        click.echo(said("look.failed", why=Name(str(error))), err=True)
        return 1
    return result if isinstance(result, int) else 0
