"""The page at the instrument: the commands for people who do not use a terminal.

A second front end beside the command line: it calls the same functions, says the same words and
computes nothing itself. It is served to this computer only, reads only the chosen folder and
writes nothing there, unless it is started for editing.
"""
