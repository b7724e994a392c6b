"""The line mode: the same work said line after line, for screen readers, plain terminals and pipes.

Nothing is drawn over. Each answer is a line that is typed; the jobs, the record and the sentences are those of the
full screen, by way of `benchtui.ui.work` and `benchtui.ui.hunting`. The screen library is not imported.
"""

from benchtui.ui.lines.bench import run as run

__all__ = ["run"]
