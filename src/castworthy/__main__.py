"""``python -m castworthy`` is the command line."""

from castworthy.cli.main import main

if __name__ == "__main__":
    main(prog_name="castworthy")
