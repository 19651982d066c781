"""How a command ends when it cannot answer."""

FAULT, BAD_INPUT, REFUSED = 1, 2, 3
"""Exit codes beside 0."""

FAULTS_OF_INPUT = frozenset(
    {"SheetError", "UnitError", "InputError", "DeedRefused", "NotOnRecord", "InstrumentError"}
)
"""Exceptions of the rooms below that tell a person what is wrong with what they gave.

Named, not imported: the front loads no room it does not need.
"""


class InputRefusedError(Exception):
    """A command cannot answer; the text is what the person reads, ``code`` the exit code."""

    def __init__(self, sentence: str, *, code: int = BAD_INPUT) -> None:
        super().__init__(sentence)
        self.code = code
