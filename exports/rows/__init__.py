"""Rows of a usage report, one class a table.

Names end in their unit: ``_min`` minutes, ``_m`` metres, ``_minor`` integer minor units of the report's
currency, ``_pct`` per cent, ``_at`` a local time of the event's zone without an offset. Minutes are counted by
whoever fills the row, from moments in UTC: the difference of two local times is wrong across a clock change.
None stands for "not known" or "does not apply", never for zero.
"""
