"""The command line: thin modules that parse, call, print and return an exit code."""
