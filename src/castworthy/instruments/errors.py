"""The one exception a file of an instrument raises."""


class InstrumentError(ValueError):
    """A file cannot be read: the message says which, the rule, what was got and the way out.

    ``foreign`` is true where the file is of another kind altogether, such as a PDF or a letter.
    """

    def __init__(self, sentence: str, *, foreign: bool = False) -> None:
        super().__init__(sentence)
        self.foreign = foreign
