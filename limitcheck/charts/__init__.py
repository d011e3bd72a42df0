"""Charts as SVG: plain shapes and text, told apart by dashes and words."""
