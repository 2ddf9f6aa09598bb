"""The parser of the command line, a file for each group of commands."""
