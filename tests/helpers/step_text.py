"""A step as its author writes it, in a procedure that has nothing else, and what is said of it."""

from __future__ import annotations

from benchtui.content.nodes import compose
from benchtui.content.procedure import read_procedure


def step_problems(lines: str) -> list[str]:
    """What is wrong with a step, a line each.

    Args:
        lines: Its lines behind the id, those after the first indented by four.
    """
    text = (
        "procedure: x\ntitle: X\nkind: assembly\nrevision: 1\ndesign: any\npurpose: P.\n"
        "before: {conditions: none, tools: none, parts: none, materials: none}\nminutes: 1\nafter: none\n"
        f"steps:\n  - id: a\n    {lines}\n"
    )
    node, _ = compose(text, file="x.yaml")
    assert node is not None
    _, problems = read_procedure(node, file="x.yaml")
    return [str(problem) for problem in problems]
