"""The command line: the full screen without arguments, one-shot commands with them, and the exit codes of both.

Each command lives in a module of its own and is imported only when it is asked for, so that a sum on the command line
does not pay for the screens, nor the screens for the sums.
"""

from __future__ import annotations

import os
import sys
from dataclasses import dataclass, replace
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Final

from benchtui import __version__
from benchtui.errors import BenchError, ContentError, TerminalError, UsageError, did_you_mean
from benchtui.paths import practice_file

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

COMMANDS: Final[Mapping[str, tuple[str, str]]] = {
    "calc": ("benchtui.calc_command", "do a sum: benchtui calc divider supply=5V top=10k bottom=4k7"),
    "check": (
        "benchtui.check_command",
        "look for mistakes in designs, procedures, checklists and fault models",
    ),
    "record": ("benchtui.record_command", "list units and jobs, or print one"),
    "find": ("benchtui.find_command", "look words up in all content and in the record"),
    "print": (
        "benchtui.print_command",
        "write a procedure, checklist, wiring list, test sheet or manual for paper",
    ),
    "spares": ("benchtui.spares_command", "what to carry on a tour: benchtui spares DESIGN shows=20"),
    "new": ("benchtui.new_command", "start a new design: benchtui new design NAME"),
}
"""Command name to the module whose `main(argv)` serves it, and one line of help."""


def main(argv: Sequence[str] | None = None) -> int:
    """Run the program.

    Args:
        argv: Arguments without the program's name; the process's own when None.

    Returns:
        0 fine, 1 the content has problems, 2 bad input or usage, 3 no terminal, unwritable folder or damaged record.
    """
    arguments = list(sys.argv[1:] if argv is None else argv)
    _speak_utf8()
    try:
        return _dispatch(arguments)
    except ContentError as error:
        for problem in error.problems:
            print(problem, file=sys.stderr)
        return error.exit_code
    except BenchError as error:
        print(f"benchtui: {error}", file=sys.stderr)
        return error.exit_code
    except KeyboardInterrupt:
        return 130
    except BrokenPipeError:
        # The reader of our output (a pager, `head`) has gone; that is its right, not our failure.
        sys.stderr.close()
        return 0


def usage() -> str:
    """The help text of the bare program."""
    lines = [
        "usage: benchtui [--practice] [--record FILE] [--read-only] [--lines]   the bench",
        "       benchtui COMMAND ...                                            one answer, then back to the shell",
        "",
        "commands:",
        *(f"  {name:<8}{text}" for name, (_, text) in COMMANDS.items()),
        "",
        "options:",
        "  --record FILE   use this record instead of your own",
        "  --practice      try things out: a record of its own, PRACTICE on every screen, no release",
        "  --read-only     look, but write nothing to the record",
        "  --lines         the same work said line after line, for a screen reader or a plain terminal",
        "  --version       print the version",
        "  --help          print this",
        "",
        "`benchtui COMMAND --help` tells more of one command.",
    ]
    return "\n".join(lines)


def _dispatch(arguments: list[str]) -> int:
    if arguments and arguments[0] in COMMANDS:
        module, _ = COMMANDS[arguments[0]]
        command_main = import_module(module).main
        result: int = command_main(arguments[1:])
        return result
    if "--help" in arguments or "-h" in arguments:
        print(usage())
        return 0
    if "--version" in arguments:
        print(f"benchtui {__version__}")
        return 0
    options = _screen_options(arguments)
    if options.lines or os.environ.get("TERM") == "dumb":
        from benchtui.ui.lines import run as run_lines

        return run_lines(record=options.record, read_only=options.read_only)
    _require_terminal()
    from benchtui.ui.app import run

    return run(record=options.record, read_only=options.read_only)


@dataclass(frozen=True, slots=True)
class _Options:
    """What the bare program was asked for."""

    record: Path | None = None
    read_only: bool = False
    lines: bool = False


def _screen_options(arguments: list[str]) -> _Options:
    """Read the options of the bare program; anything else is a mistake worth a sentence."""
    options = _Options()
    rest = iter(arguments)
    for argument in rest:
        if argument == "--read-only":
            options = replace(options, read_only=True)
        elif argument == "--practice":
            options = replace(options, record=practice_file())
        elif argument == "--lines":
            options = replace(options, lines=True)
        elif argument == "--record" or argument.startswith("--record="):
            value = argument.partition("=")[2] if "=" in argument else next(rest, "")
            if not value:
                raise UsageError("--record needs a file name", hint="type: benchtui --record FILE")
            options = replace(options, record=Path(value).expanduser())
        elif argument in COMMANDS:
            raise UsageError(
                f"the command {argument!r} comes first", hint=f"put options after it: benchtui {argument} --record FILE"
            )
        else:
            raise UsageError(f"there is no command or option {argument!r}", hint=_nearest(argument))
    return options


def _nearest(word: str) -> str:
    known = [*COMMANDS, "--practice", "--record", "--read-only", "--lines", "--version", "--help"]
    return did_you_mean(word, known, otherwise="type: benchtui --help")


def _require_terminal() -> None:
    """Refuse to draw into a pipe: the screens would write escape codes to it and wait for ever."""
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        raise TerminalError(
            "the full screen needs a terminal, and this is a pipe or a file",
            hint="run it in a terminal, add --lines, or use a command such as: benchtui record",
        )


def _speak_utf8() -> None:
    """Let Ω and µ through where the locale says otherwise (a bare C locale, a Windows pipe)."""
    for stream in (sys.stdout, sys.stderr):
        encoding = (getattr(stream, "encoding", "") or "").lower().replace("-", "")
        if encoding != "utf8" and hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8", errors="replace")
    if hasattr(sys.stdin, "reconfigure"):
        sys.stdin.reconfigure(errors="replace")  # a byte that is no text, as from a paste, must not end the program
