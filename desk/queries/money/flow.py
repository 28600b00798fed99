"""Money that came and went in a stretch of time."""

from __future__ import annotations

from dataclasses import dataclass, field

from desk.models import Charge, Settlement
from desk.queries.money.charges import METHODS


@dataclass(kw_only=True)
class Flow:
    """What came and went in a stretch of time; open carried forward is brought forward and what this adds."""

    brought_minor: int = 0
    charged_minor: int = 0
    tax_minor: int = 0
    received: dict[str, int] = field(default_factory=lambda: dict.fromkeys(METHODS, 0))
    refunded_minor: int = 0
    written_off_minor: int = 0

    @property
    def received_minor(self) -> int:
        return sum(self.received.values())

    @property
    def carried_minor(self) -> int:
        settled = self.received_minor - self.refunded_minor + self.written_off_minor
        return self.brought_minor + self.charged_minor - settled

    def charge(self, charge: Charge) -> None:
        self.charged_minor += charge.amount_minor
        self.tax_minor += charge.tax_minor

    def settle(self, line: Settlement) -> None:
        if line.kind == "payment":
            self.received[line.method] += line.amount_minor
        elif line.kind == "refund":
            self.refunded_minor -= line.amount_minor
        else:
            self.written_off_minor += line.amount_minor
