"""The one exception a wrong call to calc raises."""


class InputError(ValueError):
    """A call asked wrongly: the message says what, the rule, what was got and the way out."""
