"""One figure of the first page with its words and its definition."""

from dataclasses import KW_ONLY, dataclass
from typing import get_type_hints

from exports.report import Summary
from exports.rows.checks import Measure


@dataclass(frozen=True)
class Figure:
    """One figure of the summary.

    Attributes
    ----------
    key
        Name in files.
    label
        What is counted.
    value
        The figure; None where it is not known.
    measure
        Its unit; ``minor`` is minor units of the report's currency.
    of
        The count of which the figure is a part.
    note
        What else there is to say.
    alert
        Whether it needs a look.
    definition
        What is counted, exactly; without one, that of the field of `Summary` by this name.
    """

    key: str
    label: str
    value: float | None
    _: KW_ONLY
    measure: Measure = "count"
    of: int | None = None
    note: str = ""
    alert: bool = False
    definition: str = ""

    @property
    def share_pct(self) -> float | None:
        """The figure in per cent of `of`."""
        return 100 * self.value / self.of if self.of and self.value is not None else None

    @property
    def in_words(self) -> str:
        """What it is a part of, and the note: ``of 41, 93 %: 3 late``."""
        part = f"of {self.of:,}, {self.share_pct:.0f} %" if self.of and self.share_pct is not None else ""
        return ": ".join(words for words in (part, self.note) if words)

    @property
    def defined(self) -> str:
        """What is counted, exactly."""
        return self.definition or definition_of(self.key)


def definition_of(key: str) -> str:
    """The definition of a field of `Summary`, as the JSON schema has it."""
    hint = get_type_hints(Summary, include_extras=True).get(key)
    return hint.__metadata__[0] if hint else ""


def listed(*words: str) -> str:
    """The words that say something, with commas between."""
    return ", ".join(word for word in words if word)
