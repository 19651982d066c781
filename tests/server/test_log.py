"""The log says one line an event."""

import logging
import sys

from castworthy.server.log import OneLine


def record(message: str, *, fault: BaseException | None = None) -> logging.LogRecord:
    exc_info = (type(fault), fault, fault.__traceback__) if fault else None
    return logging.LogRecord("django", logging.ERROR, __file__, 1, message, (), exc_info)


def test_a_fault_is_one_line_with_its_place() -> None:
    try:
        int("deep\nwater")
    except ValueError:
        fault = sys.exc_info()[1]
    line = OneLine().format(record("Internal\nServer Error", fault=fault))
    assert "\n" not in line
    assert "ERROR django: Internal Server Error [ValueError: invalid literal" in line
    assert "test_log.py:" in line


def test_a_plain_event_ends_with_its_message() -> None:
    assert OneLine().format(record("ready")).endswith("ERROR django: ready")
