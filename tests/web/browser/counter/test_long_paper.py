"""Paper with the longest contents in a wide and a narrow font: each sheet is one page, and what goes on says so."""

import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import expect
from sqlalchemy import select

from desk.models import Charge, Event, Job
from desk.queries.money.holders import Holder
from desk.services.money.invoices import make_invoice
from tests import make
from tests.web.browser.counter.long_contents import NOTE, fill_long
from tests.web.browser.fit import NARROW, WIDE, set_font
from tests.web.browser.served import Site

pytestmark = [pytest.mark.browser, pytest.mark.slow]
LEFT_OUT = """() => [...document.querySelectorAll('.sheet')].flatMap(sheet =>
  [...sheet.querySelectorAll('*')].filter(one => {
    const box = one.getBoundingClientRect(), edge = sheet.getBoundingClientRect();
    return one.textContent.trim() && (box.right > edge.right + 1 || box.bottom > edge.bottom + 1);
  }).map(one => one.textContent.trim().slice(0, 60)))"""


@pytest.fixture
def long_visit(site: Site) -> dict[str, str]:
    """The papers of a visit whose every field is as long as it may be, by name."""
    if not (shutil.which("pdfinfo") and shutil.which("pdftotext")):
        pytest.skip("pdfinfo and pdftotext (poppler-utils) are not installed")
    with site.database.writing() as session:
        event = session.scalars(select(Event)).one()
        event.tax_basis_points = 2300
        for kind, minor in (("labour", 1800), ("stencil", 150), ("extra_work", 1000)):
            make.make_price(session, event, kind, minor)
        drop_off = fill_long(session, event)
        codes = session.scalars(select(Job.code).where(Job.drop_off_id == drop_off.id).order_by(Job.id)).all()
        return {
            "receipt": f"/print/receipt/{drop_off.id}",
            "label": f"/print/tags/{drop_off.id}?size=label",
            "a7": f"/print/tags/{drop_off.id}?size=a7",
            "card": f"/print/card/{codes[-1]}",
            "link": f"/print/link/{drop_off.player_id}",
        }


def pages_of(page, folder: Path, name: str) -> list[str]:
    """Print the page as it stands; return the text of each page of paper."""
    file = folder / f"{name}.pdf"
    page.pdf(path=file, prefer_css_page_size=True)
    text = subprocess.run(["pdftotext", "-layout", file, "-"], capture_output=True, text=True, check=True).stdout
    return text.split("\f")[:-1]


@pytest.mark.parametrize("font", [WIDE, NARROW])
def test_each_sheet_is_one_page_and_nothing_stands_over_its_edge(
    visit: Callable, site: Site, tmp_path: Path, long_visit: dict[str, str], font: str
) -> None:
    page = visit("lead").page
    for name, address in long_visit.items():
        page.goto(site.to(address))
        set_font(page, font)
        assert page.evaluate(LEFT_OUT) == [], name
        pages = pages_of(page, tmp_path, name)
        expect(page.locator(".sheet"), name).to_have_count(len(pages))
        if name in ("receipt", "card") and len(pages) > 1:
            for number, text in enumerate(pages, 1):
                assert f"Page {number} of {len(pages)}" in text, name


def test_a_receipt_of_a_full_bag_goes_on_and_says_so(visit: Callable, site: Site, tmp_path: Path, long_visit) -> None:
    with site.database.writing() as session:
        job = session.scalars(select(Job).order_by(Job.id.desc())).first()
        for _ in range(11):
            make.make_job(session, job.player, drop_off=job.drop_off)
    page = visit("desk").page
    page.goto(site.to(long_visit["receipt"]))
    set_font(page, WIDE)
    first, second = pages_of(page, tmp_path, "bag")
    assert "Page 1 of 2: the receipt goes on" in first and "Page 2 of 2" in second
    assert "No. 12:" in first and "No. 13:" in second and "About" in second and NOTE[:40] in " ".join(second.split())


def test_a_long_invoice_counts_its_pages(visit: Callable, site: Site, tmp_path: Path, long_visit) -> None:
    with site.database.writing() as session:
        player = session.scalars(select(Job).order_by(Job.id.desc())).first().player
        line = {"event_id": player.event_id, "player_id": player.id, "kind": "other", "currency": "EUR", "by": "desk"}
        session.add_all(
            Charge(text=f"{NOTE[:100]} {number}", amount_minor=100, at=make.moment("Mon 10:00"), **line)
            for number in range(40)
        )
        session.flush()
        payer = f"{player.name}\nLong Street 1"
        made = make_invoice(session, player.event_id, Holder.of(player), payer=payer, acting=make.acting())
        number = made.number
    page = visit("lead").page
    page.goto(site.to(f"/invoice/{number}"))
    pages = pages_of(page, tmp_path, "invoice")
    assert len(pages) > 1
    assert [f"Page {n} of {len(pages)}" in text for n, text in enumerate(pages, 1)] == [True] * len(pages)
