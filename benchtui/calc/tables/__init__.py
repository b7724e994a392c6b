"""Published tables as data, each with its source, its edition, and a mark where a figure is from memory."""
