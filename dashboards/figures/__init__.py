"""Charts that can be zoomed, as plain dictionaries for the plotting library. Pure."""
