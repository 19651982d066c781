"""How a deed is refused."""


class DeedRefused(Exception):  # noqa: N818
    """A deed was not done and nothing was stored; ``sentence`` tells the person why.

    Parameters
    ----------
    sentence
        what is wrong, the rule, what was got and the way out, in one sentence
    field
        the argument that is at fault, so that a form can mark it; empty when none is
    code
        a short name of the reason for callers, such as ``"role"`` or ``"replaced"``
    details
        further sentences, one a fault, where there are several (a sheet's findings)

    """

    def __init__(
        self,
        sentence: str,
        *,
        field: str = "",
        code: str = "refused",
        details: tuple[str, ...] = (),
    ) -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.field = field
        self.code = code
        self.details = details
