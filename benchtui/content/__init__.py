"""Content files: YAML text to nodes with places, nodes to frozen dataclasses, and the index of what there is."""
