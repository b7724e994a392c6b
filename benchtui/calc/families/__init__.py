"""One module per family of calculators; each names its own in a tuple `CALCULATORS`, and no other file names them."""
