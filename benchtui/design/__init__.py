"""All that follows from a design file: wiring, expected readings, budgets, panel views, the bill."""

from benchtui.design.model import Control as Control
from benchtui.design.model import Design as Design
from benchtui.design.model import Subject as Subject
from benchtui.design.reading import load_design as load_design
from benchtui.design.reading import read_design as read_design

__all__ = ["Control", "Design", "Subject", "load_design", "read_design"]
