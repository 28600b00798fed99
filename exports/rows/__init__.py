"""Rows of a usage report, one class a table.

Names end in their unit: ``_min`` minutes, ``_m`` metres, ``_minor`` integer minor units of the report's
currency, ``_pct`` per cent, ``_at`` a local time of the event's zone without an offset. Minutes are counted by
whoever fills the row, from moments in UTC: the difference of two local times is wrong across a clock change.
None stands for "not known" or "does not apply", never for zero.
"""

from exports.rows.checks import (
    Better,
    Comparison,
    ComparisonRow,
    Correction,
    CrossCheckRow,
    Measure,
    Reopening,
    SignedRow,
)
from exports.rows.jobs import BenchTimeRow, CarriedOverRow, JobRow, NeededByRow, NeededOutcome, UncollectedRow
from exports.rows.mishaps import MishapGroup, MishapRow
from exports.rows.money import ChargeRow, InvoiceRow, MoneyRow, PrizeMoneyRow, TaxRow
from exports.rows.stock import CalibrationRow, MaterialRow, OrderRow, Part, PatternRow, ReelRow, StringRow, TensionRow
from exports.rows.work import NEEDED, PROMISED, DayRow, HourRow, MachineRow, StringerRow, TeamRow

__all__ = [
    "NEEDED",
    "PROMISED",
    "BenchTimeRow",
    "Better",
    "CalibrationRow",
    "CarriedOverRow",
    "ChargeRow",
    "Comparison",
    "ComparisonRow",
    "Correction",
    "CrossCheckRow",
    "DayRow",
    "HourRow",
    "InvoiceRow",
    "JobRow",
    "MachineRow",
    "MaterialRow",
    "Measure",
    "MishapGroup",
    "MishapRow",
    "MoneyRow",
    "NeededByRow",
    "NeededOutcome",
    "OrderRow",
    "Part",
    "PatternRow",
    "PrizeMoneyRow",
    "ReelRow",
    "Reopening",
    "SignedRow",
    "StringRow",
    "StringerRow",
    "TaxRow",
    "TeamRow",
    "TensionRow",
    "UncollectedRow",
]
