"""The errors of the trade's arithmetic: each says what, where and what to do."""


class TradeError(ValueError):
    """Bad input to the trade's arithmetic.

    Attributes
    ----------
    what : str
        What is wrong, as a phrase without a full stop.
    where : str
        Where it was found: a field, a match, a court; may be empty.
    to_do : str
        What the person at the desk can do about it.
    """

    def __init__(self, what: str, where: str = "", to_do: str = "") -> None:
        self.what = what
        self.where = where
        self.to_do = to_do
        head = f"{where}: {what}." if where else f"{what}."
        super().__init__(f"{head} {to_do}".strip())


class UnitError(TradeError):
    """A tension, length or area that cannot be read or lies outside what is strung."""


class TimeError(TradeError):
    """A time that cannot be read or does not exist in the event's zone."""


class PlayError(TradeError):
    """An order of play that cannot be computed."""


class CodeError(TradeError):
    """A tag code that was mistyped."""


class MoneyError(TradeError):
    """An amount that cannot be read, or two currencies in one sum."""
