"""Opening the shop's record for a command, with one sentence when it cannot be."""

from collections.abc import Iterator
from contextlib import contextmanager

from castworthy.cli.outcome import FAULT, InputRefusedError


@contextmanager
def telling_faults() -> Iterator[None]:
    """Turn a folder that cannot be written or a database out of reach into one sentence."""
    from castworthy.server.place import PlaceError

    try:
        yield
    except PlaceError as fault:
        raise InputRefusedError(str(fault), code=FAULT) from fault
    except Exception as fault:
        if type(fault).__name__ not in (
            "OperationalError",
            "ImproperlyConfigured",
            "DatabaseError",
        ):
            raise
        why = " ".join(str(fault).split()).rstrip(".")
        raise InputRefusedError(
            f"The record cannot be opened ({why}). castworthy doctor says how to mend it.",
            code=FAULT,
        ) from fault


@contextmanager
def open_record() -> Iterator[None]:
    """The record with its tables up to date, for as long as a command needs it."""
    with telling_faults():
        from castworthy.server.start import prepare

        prepare()
        yield
