"""The log: one line an event, a fault with the lines of code it came through."""

import logging
import traceback

_FRAMES_COUNT = 5


class OneLine(logging.Formatter):
    """Writes every record as one line.

    An exception is named at the end with the last places it passed, the innermost first, so
    that a fault can be found without pages of text in a shop's terminal.
    """

    def format(self, record: logging.LogRecord) -> str:
        """The record as one line."""
        when = self.formatTime(record, "%Y-%m-%d %H:%M:%S")
        text = f"{when} {record.levelname} {record.name}: {record.getMessage()}"
        fault = record.exc_info[1] if record.exc_info else None
        if fault is not None:
            text += f" [{_named(fault)}]"
        return " ".join(text.split())


def _named(fault: BaseException) -> str:
    frames = traceback.extract_tb(fault.__traceback__)[-_FRAMES_COUNT:]
    way = " < ".join(f"{frame.filename}:{frame.lineno}" for frame in reversed(frames))
    return f"{type(fault).__name__}: {fault} at {way}"
