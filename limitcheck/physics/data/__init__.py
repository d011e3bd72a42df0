"""Constants of the physical models, each with its source, range and stated error."""
