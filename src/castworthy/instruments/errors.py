"""The one exception a file of an instrument raises."""


class InstrumentError(ValueError):
    """A file cannot be read: the message says which, the rule, what was got and the way out."""
