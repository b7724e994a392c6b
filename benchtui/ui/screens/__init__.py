"""One screen per file: keys become events, the state becomes text by way of `benchtui.ui.view`."""
