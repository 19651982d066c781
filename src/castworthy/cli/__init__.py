"""The command line: arguments, output, exit codes."""
