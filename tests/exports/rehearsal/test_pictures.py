"""Pictures of a rehearsal: well formed, drawn to scale, with the text that others hear."""

import xml.etree.ElementTree as ET

from exports.rehearsal.rehearsal_pictures import load_picture, promise_picture
from exports.rehearsal.rehearsal_rows import RehearsedHourRow, RehearsedPromiseRow, Spread

SVG = "{http://www.w3.org/2000/svg}"


def hour(number, work, hands):
    """One hour with so many bench hours in the mean."""
    nothing = Spread(mean=0, low=0, high=0)
    band = Spread(mean=work, low=work / 2, high=2 * work)
    return RehearsedHourRow(
        team="<5>", day="Mon", hour=f"{number:02}", hands=hands, came=nothing, work_h=band, waiting=nothing,
        longest_wait_min=nothing,
    )  # fmt: skip


def test_bars_are_as_high_as_their_work():
    picture = ET.fromstring(load_picture([hour(8, 1, 2), hour(9, 2, 4)], "A & B", alone=True))
    bars = [float(rect.get("height")) for rect in picture.iter(f"{SVG}rect")]
    assert bars[1] == 2 * bars[0] > 0
    assert picture.find(f"{SVG}title").text == "A & B"
    assert "2.0 bench hours come (1.0 to 4.0), 4.0 hands on shift" in bars_titles(picture)[1]


def bars_titles(picture):
    """What a bar says to those who hear it."""
    return [rect.find(f"{SVG}title").text for rect in picture.iter(f"{SVG}rect")]


def test_a_picture_on_a_page_leaves_its_colours_to_the_page():
    rows = [RehearsedPromiseRow(team="T", pad_min=pad, kept_pct=Spread(mean=80, low=60, high=95)) for pad in (0, 5)]
    assert "#" not in promise_picture(rows, "Kept")
    assert 'stroke="#b4400a"' in promise_picture(rows, "Kept", alone=True)


def test_hours_without_work_or_hands_are_drawn_all_the_same():
    ET.fromstring(load_picture([hour(8, 0, 0)], "Nothing"))
    ET.fromstring(load_picture([], "Nobody"))
