"""The form of a string that joins the event's list, at the store or in the middle of a drop-off."""

from __future__ import annotations

from wtforms import SelectField, StringField
from wtforms.validators import InputRequired, Length, Optional

from desk.trade.racquet.value_kinds import GAUGE_MM
from desk.web.display import MATERIAL_WORDS
from desk.web.forms import DeskForm, MeasureField, options, within

MATERIALS = options([("", "choose …"), *MATERIAL_WORDS.items()])


class StringTypeForm(DeskForm):
    name = StringField("Maker and model", [InputRequired("give maker and model"), Length(max=120)])
    material = SelectField("Material", [InputRequired("choose the material")], choices=MATERIALS)
    gauge_mm = MeasureField("Gauge, mm", [Optional(), within(GAUGE_MM)])
    colour = StringField("Colour", [Length(max=40)])
