"""Asking a calculator the way a person does: through the command line, in this process for speed."""

from __future__ import annotations

import contextlib
import io
import json
from typing import Any

from benchtui.calc_command import main


def ask(name: str, /, **texts: str | float) -> dict[str, Any]:
    """The JSON answer of `benchtui calc NAME key=value ... --json`; underscores in keys stand for hyphens."""
    arguments = [f"{key.rstrip('_').replace('_', '-')}={value}" for key, value in texts.items()]
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = main([name, *arguments, "--json"])
    assert code == 0, f"benchtui calc {name} {' '.join(arguments)}: {err.getvalue()}"
    answer: dict[str, Any] = json.loads(out.getvalue())
    return answer


def outputs(name: str, /, **texts: str | float) -> dict[str, Any]:
    """Each output's number, or its text when it has no number."""
    return {key: one.get("value", one["text"]) for key, one in ask(name, **texts)["outputs"].items()}


def refused(name: str, /, **texts: str | float) -> str:
    """What the command says on standard error when it refuses, with exit code 2."""
    arguments = [f"{key.rstrip('_').replace('_', '-')}={value}" for key, value in texts.items()]
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = main([name, *arguments, "--json"])
    assert code == 2, out.getvalue()
    assert not out.getvalue()
    return err.getvalue().strip()


def verdicts(name: str, level: str, /, **texts: str | float) -> list[str]:
    """The verdicts of one level."""
    return [one["text"] for one in ask(name, **texts)["verdicts"] if one["level"] == level]
