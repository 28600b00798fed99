"""Native charts that can be read without a legend."""

from collections.abc import Sequence

from openpyxl.chart import BarChart
from openpyxl.chart.data_source import AxDataSource, NumData, NumDataSource, NumRef, NumVal, StrData, StrRef, StrVal
from openpyxl.chart.label import DataLabelList
from openpyxl.chart.series import Series
from openpyxl.chart.shapes import GraphicalProperties
from openpyxl.chart.text import RichText, Text
from openpyxl.chart.title import Title
from openpyxl.drawing.line import LineProperties
from openpyxl.drawing.text import CharacterProperties, Font, Paragraph, ParagraphProperties, RegularTextRun

from exports.layout.style import ACCENT, BLACK, FONT, HAIRLINE
from exports.layout.table_place import Layout, label
from exports.sheet import Chart, Value
from exports.text import clean

COLOURS = (BLACK, ACCENT)


def draw(chart: Chart, source: Layout, *, width_cm: float, height_cm: float) -> BarChart:
    """Return the chart of one table, with its figures at the bars and kept beside the references.

    The figures are stored in the chart as well, because a phone's viewer shows only those.
    """
    drawn = BarChart()
    drawn.type = "bar" if chart.lying else "col"
    drawn.grouping, drawn.overlap, drawn.gapWidth = "clustered", 100, 70
    drawn.width, drawn.height = width_cm, height_cm  # type: ignore[assignment]
    drawn.legend = None
    drawn.title = _title(chart.title)
    drawn.graphical_properties = GraphicalProperties(noFill=True, ln=LineProperties(noFill=True))
    for number, (key, colour) in enumerate(zip(chart.values, COLOURS, strict=False)):
        drawn.series.append(_series(number, key, colour, chart.along, source))
    figures = [value for key in chart.values for value in source.column_values(key)]
    _set_axes(drawn, chart, below_zero=any(isinstance(one, (int, float)) and one < 0 for one in figures))
    return drawn


def _series(number: int, key: str, colour: str, along: str, source: Layout) -> Series:
    figures = source.column_values(key)
    points = [NumVal(idx=i, v=str(value)) for i, value in enumerate(figures) if value is not None]
    cache = NumData(formatCode="General", ptCount=len(figures), pt=points)
    series = Series(
        idx=number,
        order=number,
        val=NumDataSource(numRef=NumRef(f=source.reference(key), numCache=cache)),
        cat=_names(source.reference(along), source.column_values(along)),
        spPr=GraphicalProperties(solidFill=colour),
    )
    series.invertIfNegative = False
    series.dLbls = DataLabelList(
        dLblPos="outEnd",
        showVal=True,
        showSerName=False,
        showCatName=False,
        showLegendKey=False,
        showPercent=False,
        txPr=_text(900, colour),
    )
    return series


def _names(reference: str, values: Sequence[Value]) -> AxDataSource:
    points = [StrVal(idx=i, v=clean(label(value))) for i, value in enumerate(values)]
    return AxDataSource(strRef=StrRef(f=reference, strCache=StrData(ptCount=len(points), pt=points)))


def _set_axes(drawn: BarChart, chart: Chart, *, below_zero: bool) -> None:
    """Both axes with their words; bars stand on zero, whatever a viewer would choose."""
    names, figures = drawn.x_axis, drawn.y_axis
    names.delete = figures.delete = False
    figures.txPr = _text(900, BLACK)
    figures.title = _title(chart.unit, size=900, bold=False)
    figures.number_format, figures.majorTickMark = "General", "out"
    figures.graphicalProperties = GraphicalProperties(ln=LineProperties(solidFill=HAIRLINE))
    if not below_zero:
        figures.scaling.min = 0
    names.txPr = _text(900, BLACK)
    names.tickLblPos = "low"
    names.majorTickMark = "none"
    names.number_format = "ddd d mmm"
    names.graphicalProperties = GraphicalProperties(ln=LineProperties(solidFill=HAIRLINE))
    figures.majorGridlines = None
    if chart.lying:
        names.scaling.orientation = "maxMin"


def _title(text: str, *, size: int = 1100, bold: bool = True) -> Title:
    run = RegularTextRun(t=clean(text), rPr=_characters(size, BLACK, bold=bold))
    body = RichText(p=[Paragraph(pPr=ParagraphProperties(), r=[run])])
    return Title(tx=Text(rich=body), overlay=False)


def _text(size: int, colour: str) -> RichText:
    return RichText(p=[Paragraph(pPr=ParagraphProperties(defRPr=_characters(size, colour)), endParaRPr=None)])


def _characters(size: int, colour: str, *, bold: bool = False) -> CharacterProperties:
    """Type of a size in hundredths of a point."""
    return CharacterProperties(sz=size, b=bold, solidFill=colour, latin=Font(typeface=FONT))
