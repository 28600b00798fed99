"""The form of an event's settings: a field for each, by its kind."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

from wtforms import BooleanField, IntegerField, SelectField, StringField, TextAreaField
from wtforms.validators import InputRequired

from desk.trade.event.event_settings import SETTINGS, Setting
from desk.trade.racquet.value_kinds import Choice, Currency, Number, PerCent, Text, Whole, YesNo, Zone
from desk.web.forms import DeskForm, FigureField, MeasureField, options


class PerCentField(FigureField):
    """Per cent on the screen, whole hundredths of a per cent in the records."""

    def process_data(self, value: int | None) -> None:
        super().process_data(None if value is None else (Decimal(value) / 100).normalize())

    def process_formdata(self, valuelist: list[str]) -> None:
        super().process_formdata(valuelist)
        if self.data is not None and self.data.is_finite():
            self.data = round(self.data * 100)


FIELDS: dict[type, Callable[[str, Any], Any]] = {
    Text: lambda label, kind: (TextAreaField if kind.lines else StringField)(label),
    Zone: lambda label, _: StringField(label),
    Currency: lambda label, _: StringField(label),
    Choice: lambda label, kind: SelectField(label, choices=options(kind.words.items())),
    PerCent: lambda label, _: PerCentField(label, [InputRequired("give a figure; 0 for none")]),
    YesNo: lambda label, _: BooleanField(label),
    Number: lambda label, _: MeasureField(label, [InputRequired("give a figure")]),
    Whole: lambda label, _: IntegerField(label, [InputRequired("give a whole number")]),
}


def _field_of(setting: Setting) -> Any:
    """Return the form's field for a setting; what it must be is checked by the service."""
    return FIELDS[type(setting.kind)](setting.help, setting.kind)


EventForm = type("EventForm", (DeskForm,), {setting.name: _field_of(setting) for setting in SETTINGS.values()})
