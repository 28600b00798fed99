"""From the counter to the player's phone and the hall's board, in a real browser; paper as a decoder reads it."""

import io
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
import zxingcpp
from PIL import Image
from playwright.sync_api import Page, expect

from desk.models import Job, Player
from desk.services.acting import Acting
from desk.services.bench import jobs
from desk.services.promise import promises
from tests import make
from tests.web.browser.conftest import accessibility_faults
from tests.web.browser.screens import wider_than_screen
from tests.web.browser.served import Site
from tests.web.scenes import scene

pytestmark = pytest.mark.browser
READY = {
    "en": "Ready to collect",
    "es": "Lista para recoger",
    "fr": "Prête à retirer",
    "de": "Fertig zum Abholen",
    "it": "Pronta per il ritiro",
}
SOON = 5_000
NOW = "Mon 12:44"


def decoded(page: Page) -> list[str]:
    """Return what a decoder reads on the page as it is shown."""
    picture = Image.open(io.BytesIO(page.screenshot(full_page=True)))
    return [found.text for found in zxingcpp.read_barcodes(picture)]


def acting(by: str) -> Acting:
    return make.acting(NOW, by=by)


@pytest.fixture(autouse=True)
def calibrated(site: Site) -> None:
    with site.database.writing() as session:
        scene.calibrate(session, site.scene.machines)


def start(site: Site, job: Job) -> None:
    bench = site.scene.stringers[3]
    with site.database.writing() as session:
        jobs.start_job(
            session, job.event_id, job.id, acting=acting(bench.name), stringer_id=bench.id,
            machine_id=bench.home_machine_id,
        )  # fmt: skip


def string_it(site: Site, job: Job) -> None:
    """Finish a job as its bench does."""
    bench = site.scene.stringers[3]
    with site.database.writing() as session:
        finish = jobs.Finish(checks=tuple(jobs.BENCH_CHECKS))
        jobs.finish_job(session, job.event_id, job.id, finish, acting=acting(bench.name))


def link_of(site: Site, player_id: int) -> str:
    with site.database.reading() as session:
        return site.to(f"/p/{session.get_one(Player, player_id).token}")


def test_from_the_counter_to_the_receipt_the_phone_and_the_board(visit: Callable, site: Site) -> None:
    desk = visit("desk")
    desk.page.goto(site.to(f"/drop-off/{site.scene.players[0].id}?take=all"))
    desk.page.get_by_role("button", name="Accept").click()
    desk.page.wait_for_url("**/drop-off/taken/*")
    code = desk.page.locator(".done-lines .code").first.inner_text()
    desk.page.get_by_role("link", name="Print receipt").click()
    desk.page.wait_for_url("**/print/receipt/*")
    (address,) = decoded(desk.page)
    assert address == link_of(site, site.scene.players[0].id)
    phone, hall = visit(size="phone", locale="de-AT"), visit(size="hall")
    phone.page.goto(address)
    expect(phone.page.locator(f"#tag-{code} .own-state")).to_contain_text("Wartet auf die Bespannung")
    hall.page.goto(site.to(f"/board/{site.scene.event.slug}"))
    ready = hall.page.locator("section", has=hall.page.locator("#ready")).locator(".hall-name")
    expect(ready.filter(has_text="Ilka Torvane-Mees")).to_have_count(0)
    with site.database.reading() as session:
        job = session.query(Job).filter_by(code=code).one()
    start(site, job)
    # A phone that is looked at again asks at once; otherwise it asks every 15 s until its racquet is near.
    phone.page.evaluate("window.dispatchEvent(new Event('online'))")
    expect(phone.page.locator(f"#tag-{code} .own-state")).to_contain_text("Wird gerade bespannt", timeout=SOON)
    string_it(site, job)
    expect(phone.page.locator(f"#tag-{code} .own-state")).to_contain_text(READY["de"], timeout=SOON)
    expect(ready.filter(has_text="Ilka Torvane-Mees")).to_have_count(1, timeout=SOON)
    for watched in (desk, phone, hall):
        watched.check()


@pytest.mark.parametrize("language", READY)
def test_a_racquet_strung_now_shows_on_the_phone_within_five_seconds(
    visit: Callable, site: Site, language: str
) -> None:
    watched, job = visit(size="phone", locale=language), site.scene.in_state("on_machine")[0]
    watched.page.goto(link_of(site, job.player_id))
    watched.page.locator("#tell").click()
    expect(watched.page.locator("#tell")).to_have_attribute("aria-pressed", "true")
    string_it(site, job)
    expect(watched.page.locator(f"#tag-{job.code} .own-state")).to_contain_text(READY[language], timeout=SOON)
    expect(watched.page.locator("#told")).to_contain_text(job.code)
    watched.check()


def test_a_changed_promise_shows_both_times_and_the_reason(visit: Callable, site: Site) -> None:
    watched, job = visit(size="phone", locale="en"), site.scene.in_state("waiting")[0]
    watched.page.goto(link_of(site, job.player_id))
    with site.database.writing() as session:
        promises.renew_promise(
            session, job.event_id, job.id, acting=acting("lead"), ready_at=make.moment("Mon 14:10"),
            reason="a machine is being repaired",
        )  # fmt: skip
    told = watched.page.locator(f"#tag-{job.code} .own-told")
    expect(told.locator("s")).to_have_text("13:22", timeout=SOON)
    expect(told.locator("strong")).to_have_text("14:10")
    expect(told).to_contain_text("a machine is being repaired")
    watched.check()


def test_phone_and_board_go_on_through_a_gap_and_say_how_old_they_are(visit: Callable, site: Site) -> None:
    job = site.scene.in_state("on_machine")[0]
    phone, hall = visit(size="phone", locale="es").page, visit(size="hall").page
    phone.goto(link_of(site, job.player_id))
    hall.goto(site.to(f"/board/{site.scene.event.slug}"))
    for page in (phone, hall):
        page.context.set_offline(True)
    expect(phone.locator("#old")).to_contain_text("Sin conexión. Lo que ve es de hace 0 min", timeout=15_000)
    expect(hall.locator("#old")).to_contain_text("0 min old", timeout=15_000)
    string_it(site, job)
    for page in (phone, hall):
        page.context.set_offline(False)
        expect(page.locator("#old")).to_be_hidden(timeout=15_000)
    expect(phone.locator(f"#tag-{job.code} .own-state")).to_contain_text(READY["es"], timeout=15_000)


def test_a_new_link_ends_an_open_page(visit: Callable, site: Site) -> None:
    page, player = visit(size="phone", locale="fr").page, site.scene.players[2]
    page.goto(link_of(site, player.id))
    from desk.services.players.players import new_token

    with site.database.writing() as session:
        new_token(session, player.event_id, player.id, acting=acting("desk"))
    expect(page.get_by_role("heading", name="Ce lien n’est plus valable")).to_be_visible(timeout=SOON)


def test_a_long_board_shows_whole_lines_and_turns_its_page(visit: Callable, site: Site) -> None:
    watched = visit(size="hall")
    page = watched.page
    page.goto(site.to(f"/board/{site.scene.event.slug}"))
    pages = page.locator(".hall-pages").last
    expect(pages).to_have_text("1 / 2")
    heights = page.evaluate(
        "[...document.querySelectorAll('[data-pages]')].map(l => l.clientHeight / l.children[0].offsetHeight)"
    )
    assert [abs(lines - round(lines)) < 0.02 for lines in heights] == [True, True]
    size = page.evaluate("parseFloat(getComputedStyle(document.querySelector('.hall-name')).fontSize)")
    # A capital is 0.72 of the size: 1/200 of 5 m is 25 mm, on a screen of 1.2 m width 40 px (common practice).
    assert size * 0.72 >= 40
    expect(pages).to_have_text("2 / 2", timeout=12_000)
    watched.check()


def test_players_pages_grow_to_twice_the_text_and_fit_a_narrow_phone(visit: Callable, site: Site, axe: str) -> None:
    page, found = visit(size="phone").page, {}
    page.set_viewport_size({"width": 320, "height": 640})
    for language in READY:
        page.goto(f"{link_of(site, site.scene.players[2].id)}?lang={language}")
        faults = accessibility_faults(page, axe)
        page.evaluate("document.documentElement.style.fontSize = '200%'")
        found[language] = faults + [f"{pixels} px sideways" for pixels in [wider_than_screen(page)] if pixels]
    assert {language: faults for language, faults in found.items() if faults} == {}


PAPER = {
    "label": ("/print/tag/{code}?size=label", (62, 29)),
    "a7": ("/print/tag/{code}?size=a7", (74, 105)),
    "receipt": ("/print/receipt/{drop_off}", (105, 148)),
    "card": ("/print/card/{code}", (148, 210)),
    "link": ("/print/link/{player}", (105, 148)),
}


def test_paper_is_one_page_of_its_size_and_a_decoder_reads_it(visit: Callable, site: Site, tmp_path: Path) -> None:
    if not (shutil.which("pdfinfo") and shutil.which("pdftoppm")):
        pytest.skip("pdfinfo and pdftoppm (poppler-utils) are not installed")
    page, job = visit("desk").page, site.scene.in_state("waiting")[0]
    for name, (address, size) in PAPER.items():
        page.goto(site.to(address.format(code=job.code, drop_off=job.drop_off_id, player=job.player_id)))
        file = tmp_path / f"{name}.pdf"
        page.pdf(path=file, prefer_css_page_size=True)
        about = dict(line.split(":", 1) for line in _run("pdfinfo", file).splitlines() if ":" in line)
        points = [float(part) for part in about["Page size"].split()[0:3:2]]
        assert int(about["Pages"]) == 1, name
        assert [round(point * 25.4 / 72) for point in points] == list(size), name
        _run("pdftoppm", "-r", "203", "-png", "-singlefile", file, tmp_path / name)
        read = [found.text for found in zxingcpp.read_barcodes(Image.open(tmp_path / f"{name}.png"))]
        own = link_of(site, job.player_id)
        assert read == [own if name in ("receipt", "link") else f"{own}/{job.code}"], name


def test_a_receipt_of_twelve_racquets_still_shows_its_code(visit: Callable, site: Site) -> None:
    with site.database.writing() as session:
        player = session.get_one(Player, site.scene.players[2].id)
        drop_off = make.make_drop_off(session, player, frame_note="hairline crack", consent="the owner agrees")
        for _ in range(12):
            make.make_job(session, player, drop_off=drop_off)
        drop_off_id = drop_off.id
    page = visit("desk").page
    page.goto(site.to(f"/print/receipt/{drop_off_id}"))
    assert decoded(page) == [link_of(site, site.scene.players[2].id)]
    cut = "(e => e.scrollHeight - e.clientHeight)(document.querySelector('.sheet'))"
    assert page.evaluate(cut) <= 0


def _run(*command: object) -> str:
    done = subprocess.run([str(part) for part in command], capture_output=True, text=True, check=True)
    return done.stdout


def test_the_code_of_a_tag_opens_the_racquet_at_the_desk(visit: Callable, site: Site) -> None:
    watched, job = visit("desk"), site.scene.in_state("waiting")[0]
    page = watched.page
    page.goto(site.to("/log"))
    seen: list[str] = []
    page.on("framenavigated", lambda frame: seen.append(frame.url))
    page.keyboard.type(f"{link_of(site, job.player_id)}/{job.code}", delay=2)
    page.keyboard.press("Enter")
    page.wait_for_url(f"**/tag/{job.code}")
    # A slash alone goes to the search; those of the link do not.
    assert seen == [site.to(f"/tag/{job.code}")]
    watched.check()
