import csv
from io import BytesIO, StringIO
from zipfile import ZipFile

from exports.files.csvzip import DIALECTS, csv_text, write_csv_zip
from exports.tables import tables
from tests.exports.full_report import make_full_report
from tests.exports.make import make_job, make_report, with_name
from tests.exports.unguarded import unguard


def read(report):
    with ZipFile(BytesIO(write_csv_zip(report))) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def rows(content):
    return list(csv.DictReader(StringIO(content.decode("utf-8-sig"), newline="")))


def test_zip_holds_a_file_for_each_table_and_says_how_to_read_them():
    report = make_full_report(jobs=12)
    files = read(report)
    assert set(files) == {"READ ME.txt", *(f"{sheet.key}.csv" for sheet in tables(report))}
    assert "Take it off" in files["READ ME.txt"].decode("utf-8-sig")
    assert all(content.startswith(b"\xef\xbb\xbf") for content in files.values())


def test_values_are_rounded_and_named_by_their_unit():
    row = rows(read(make_report(jobs=(make_job(),)))["jobs.csv"])[0]
    assert row["dropped_off_at"] == "2026-07-08 09:05"
    assert row["bench_min"] == "22.0"
    assert (row["charge"], row["currency"]) == ("25.00", "EUR")
    assert row["racquet"] == "2"
    assert (row["mains_tension"], row["mains_tension_lb"]) == ("53.5 lb", "53.50")
    assert row["on_court"] == "no"
    assert row["redo_of"] == ""


def test_every_table_has_as_many_rows_as_the_report():
    report = make_full_report(jobs=60, days=2)
    files = read(report)
    for sheet in tables(report):
        assert len(rows(files[f"{sheet.key}.csv"])) == len(sheet.rows)


def test_formula_as_a_name_is_marked_and_comes_back_whole():
    name = '=HYPERLINK("http://example.invalid";"x");=1'
    files = read(with_name(make_full_report(jobs=12), name))
    players = {row["player"] for row in rows(files["jobs.csv"])}
    assert name not in players
    assert name in {unguard(player) for player in players}


def test_negative_number_stays_a_number():
    report = make_full_report(jobs=84)
    late = [row["spare_min"] for row in rows(read(report)["needed_by.csv"]) if row["spare_min"].startswith("-")]
    assert late and all(float(value) < 0 for value in late)


def test_name_with_quotes_commas_and_emoji_comes_back():
    name = 'Ada "Ace" Arden, 🎾'
    row = rows(read(make_report(jobs=(make_job(player=name),)))["jobs.csv"])[0]
    assert row["player"] == name


def test_empty_day_still_has_headings():
    files = read(make_report())
    assert files["jobs.csv"].decode("utf-8-sig").startswith('"tag","player"')


def test_german_settings_get_semicolons_and_decimal_commas():
    report = make_report(jobs=(make_job(mains="1.25"),))
    text = csv_text(next(sheet for sheet in tables(report) if sheet.key == "jobs"), "EUR", DIALECTS["semicolon"])
    row = next(csv.DictReader(StringIO(text), delimiter=";"))
    assert (row["bench_min"], row["charge"], row["string_m"]) == ("22,0", "25,00", "11,40")


def test_text_like_a_number_is_marked_and_numbers_are_not():
    row = rows(read(make_report(jobs=(make_job(tag="3E5", mains="1.25", player="12-14"),)))["jobs.csv"])[0]
    assert (row["tag"], row["mains"], row["player"]) == ("'3E5", "'1.25", "'12-14")
    assert row["racquet"] == "2"


def test_rows_of_different_units_say_which():
    found = {row["label"]: (row["value"], row["unit"]) for row in rows(read(make_full_report(jobs=30))["summary.csv"])}
    assert found["On the bench"][1] == "min" and found["Charged"][1] == "EUR" and found["Strung"][1] == ""
    assert "." in found["Charged"][0]
