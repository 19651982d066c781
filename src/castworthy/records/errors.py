"""What a lookup asks with, and what it says when there is nothing to find."""


class NotOnRecord(LookupError):  # noqa: N818
    """Nothing of that name is on record; ``sentence`` says so to a person.

    Pages need not catch it: the server answers 404 with the sentence.
    """

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


def printable(text: str) -> str:
    """A text without signs that no database and no page can hold, for asking after a name."""
    return "".join(sign for sign in text if sign.isprintable())
