"""What the writers refuse, said so that the reader can mend it."""


class ReportError(ValueError):
    """A report that cannot be written: the message says what, where, and what to do."""
