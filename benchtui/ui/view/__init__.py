"""From state to text: every function here is pure and needs no running screen.

A text is a list of lines, a line a row of spans, a span a piece of text with a role ("strong", "caution"). What a role
looks like is decided by the style sheet, so that the same lines serve every theme, paper-plain output and the tests.
"""
