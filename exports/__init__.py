"""Pure spreadsheet writers: typed rows in, workbook, CSV or JSON out.

The rows are published here; the writers stand in ``workbook``, ``csvzip``, ``jsonfile`` and ``template``.
"""

from exports.errors import ReportError
from exports.report import Comparison, Summary, UsageReport
from exports.rows import (
    BenchTimeRow,
    CalibrationRow,
    CarriedOverRow,
    ChargeRow,
    ComparisonRow,
    Correction,
    CrossCheckRow,
    DayRow,
    HourRow,
    InvoiceRow,
    JobRow,
    MachineRow,
    MaterialRow,
    MoneyRow,
    NeededByRow,
    OrderRow,
    PatternRow,
    PrizeMoneyRow,
    ReelRow,
    Reopening,
    StringerRow,
    StringRow,
    TaxRow,
    TensionRow,
    UncollectedRow,
)
from exports.units import KG_PER_LB, Tension

__all__ = [
    "KG_PER_LB",
    "BenchTimeRow",
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
    "MoneyRow",
    "NeededByRow",
    "OrderRow",
    "PatternRow",
    "PrizeMoneyRow",
    "ReelRow",
    "Reopening",
    "ReportError",
    "StringRow",
    "StringerRow",
    "Summary",
    "TaxRow",
    "Tension",
    "TensionRow",
    "UncollectedRow",
    "UsageReport",
]
