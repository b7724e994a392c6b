"""The words and options of a command line, where each option has a value: `--name value` or `--name=value`."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.errors import UsageError

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence


def words_and_options(
    argv: Sequence[str], *, command: str, known: Collection[str] = ()
) -> tuple[list[str], dict[str, str]]:
    """Words and options, in any order.

    Args:
        argv: What follows the command.
        command: Its name, such as "find".
        known: Its options, such as "--record"; any when empty.

    Returns:
        The words as typed, and option to value.

    Raises:
        UsageError: An option has no value, or is none of this command.
    """
    words: list[str] = []
    options: dict[str, str] = {}
    rest = iter(argv)
    for word in rest:
        if not word.startswith("-") or word == "-" or word[1:2].isdigit():  # -15 V is looked for, and no option
            words.append(word)
            continue
        name, equals, value = word.partition("=")
        if known and name not in known:
            raise UsageError(f"{command} has no option {name!r}", hint=f"type: benchtui {command} --help")
        options[name] = value if equals else next(rest, "")
        if not options[name]:
            raise UsageError(f"{name} needs a value", hint=f"type: benchtui {command} --help")
    return words, options
