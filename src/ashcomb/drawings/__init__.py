"""Numbers in, SVG out; one look for screen and paper."""
