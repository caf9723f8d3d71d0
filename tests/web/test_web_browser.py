"""The page in a browser, on a phone's screen and a shop's: typed, drawn, cured, made, kept, reached by keys and by name.

Needs Debian's chromium (apt install chromium) and playwright; where either is missing these tests are left out, said so.
"""

from __future__ import annotations

import json
import shutil
import time
import warnings
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from jiggen.cli import main
from jiggen.units import length

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
try:
    from axe_playwright_python.sync_playwright import Axe
    from playwright.sync_api import Browser, Page, sync_playwright
except ImportError:
    CHROMIUM = None
if CHROMIUM is None:
    words = "NO BROWSER TESTS: chromium or playwright is missing; apt install chromium, pip install playwright"
    warnings.warn(words, stacklevel=1)
    pytest.skip(words, allow_module_level=True)

PHONE, SHOP = (360, 740), (1280, 800)
BOTH = pytest.mark.parametrize("size", [PHONE, SHOP], ids=["phone", "shop"])
TABS = ("job", "sheets", "built", "make", "printer", "file")
TOUCH = 44  # px; WCAG 2.1, 2.5.5 Target Size (Enhanced)


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        made = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield made
        made.close()


@pytest.fixture
def page(browser: Browser, address: str, size: tuple[int, int]) -> Iterator[Page]:
    """The page as it opens for the first time; what the browser complains of fails the test."""
    context = browser.new_context(viewport={"width": size[0], "height": size[1]}, locale="en-US", accept_downloads=True)
    made = context.new_page()
    wrong: list[str] = []
    made.on("pageerror", lambda error: wrong.append(str(error)))
    made.on("console", lambda message: wrong.append(message.text) if message.type in ("error", "warning") else None)
    outside: list[str] = []
    made.on(
        "request", lambda request: None if request.url.startswith((address, "blob:")) else outside.append(request.url)
    )
    made.goto(address)
    settled(made)
    yield made
    context.close()
    assert wrong == []
    assert outside == []  # no network but the page's own


def data(page: Page, key: str) -> str:
    found = page.evaluate(f"document.documentElement.dataset.{key} || ''")
    return str(found)


def settled(page: Page, before: str = "0", limit: float = 15.0) -> None:
    """Wait until a look that began after ``before`` looks is shown."""
    end = time.monotonic() + limit
    while time.monotonic() < end:
        if page.evaluate(
            "(() => { const d = document.documentElement.dataset; return d.busy ? '' : d.looks || '' })()"
        ) not in ("", before):
            return
        time.sleep(0.04)
    raise AssertionError("the page did not show the change")


def typed(page: Page, selector: str, text: str) -> None:
    before = data(page, "looks")
    page.fill(selector, text)
    settled(page, before)


def clicked(page: Page, selector: str) -> None:
    before = data(page, "looks")
    page.click(selector)
    settled(page, before)


def opened(page: Page, section: str) -> None:
    if page.get_attribute(f"#{section}", "open") is None:
        page.click(f"#{section} > summary")


def state(page: Page) -> Any:
    return json.loads(page.evaluate("localStorage.getItem('jiggen.job')"))["state"]


def drawn(page: Page, part: str) -> int:
    """How many of a part the drawings of the shown run have."""
    return page.locator(f'#picture [data-part="{part}"]').count()


def downloaded(page: Page, selector: str) -> bytes:
    with page.expect_download() as waiting:
        page.click(selector)
    return Path(waiting.value.path()).read_bytes()


def cured(page: Page, words: str) -> str:
    """Tap the first cure that begins with ``words``: the finding that it stands at is gone. What it says behind them."""
    cure = page.locator(".cure").filter(has_text=words).first
    problem = page.locator("#problem-list li").filter(has=cure).locator("p").nth(1).inner_text()
    told = cure.inner_text().removeprefix(words)
    before = data(page, "looks")
    cure.click()
    settled(page, before)
    assert problem not in page.locator("#problem-list p").all_inner_texts()
    return told


@BOTH
def test_a_deck_with_a_stair_from_typing_to_the_packet(page: Page, size: tuple[int, int], tmp_path: Path) -> None:
    # a deck with a corner, and a third run down a stair, typed
    page.click("#tab-file")
    clicked(page, "#start-deck-mm")
    page.click("#tab-job")
    assert page.locator("#run-tabs button").all_inner_texts() == ["Run front", "Run side", "From above"]
    clicked(page, "#add-run")
    assert page.locator("#run-tabs button").all_inner_texts() == ["Run front", "Run side", "Run C", "From above"]
    opened(page, "s-run-2")
    typed(page, "#f-run-2-id", "steps")
    typed(page, "#f-run-2-turn", "")
    typed(page, "#f-run-2-spans-0", "1065 mm")
    clicked(page, "#add-post-2")
    assert state(page)["run"][2]["posts"] == ["5", "6", "7"]
    assert state(page)["run"][2]["spans"] == ["1065 mm", "1065 mm"]
    clicked(page, "#ground-2-stair")
    typed(page, "#f-run-2-stair-rise", "175 mm")
    typed(page, "#f-run-2-stair-first_5fbehind_5fnosing", "130 mm")
    assert page.locator('#picture [data-part="nosing line"]').count() > 0  # the run that is typed at is drawn

    # the drawing changes with the spacing: more cables when they are nearer
    page.locator("#run-tabs button").first.click()
    opened(page, "s-guard")
    many = drawn(page, "cable")
    typed(page, "#f-guard-spacing", "60 mm")
    assert drawn(page, "cable") > many
    typed(page, "#f-guard-spacing", "75 mm")
    assert drawn(page, "cable") == many

    # a bad value is told at its field, the drawing stays, nothing is lost
    typed(page, "#f-guard-height", "107 inchs")
    assert page.get_attribute("#f-guard-height", "aria-invalid") == "true"
    assert "107 inchs" in page.inner_text("#f-guard-height-wrong")
    assert drawn(page, "cable") == many
    typed(page, "#f-guard-height", "1070 mm")
    assert page.get_attribute("#f-guard-height", "aria-invalid") is None

    # findings are cured with one tap each: the triangle under the stair's rail, then what opens under load
    page.evaluate("document.getElementById('problems').open = true")
    assert "1 stop" in page.inner_text("#summary")
    told = cured(page, "Bring the bottom rail down to ")
    down, given = told.removesuffix(" over the nosing line"), state(page)["run"][2]["bottom_gap"]
    assert length(down) == length(given)  # 18.0 mm is told, 18 mm is written
    assert "stop" not in page.inner_text("#summary")
    told = cured(page, "Pull ")
    assert told == state(page)["cable"]["tension"]

    # a reload keeps the form
    kept = state(page)
    page.reload()
    settled(page)
    assert state(page) == kept
    assert page.input_value("#f-run-2-id") == "steps"

    # the packet has the bytes of the command's
    page.click("#tab-make")
    page.click("#make")
    page.wait_for_selector("#made, #making .wrong", timeout=90000)
    assert page.locator("#making .wrong").all_inner_texts() == []
    packet = downloaded(page, 'a[href$="/packet.pdf"]')
    page.click("#tab-file")
    job = tmp_path / "job.toml"
    job.write_bytes(downloaded(page, "#save-job"))
    result = CliRunner().invoke(main, ["make", str(job), "--to", str(tmp_path / "out")])
    assert result.exit_code == 0, result.output
    assert packet == (tmp_path / "out" / "packet.pdf").read_bytes()

    # and opens again into the same form, and undo brings the last one back
    clicked(page, "#start-ramp-in")
    assert state(page) != kept
    before = data(page, "looks")
    page.set_input_files("#open-file", tmp_path / "out" / "packet.pdf")
    settled(page, before)
    assert state(page) == kept
    clicked(page, "#undo")
    assert len(state(page)["run"]) == 1


@BOTH
def test_a_posts_sheet_and_its_marks(page: Page, size: tuple[int, int]) -> None:
    # the drawing is tapped at a post
    box = page.locator('#picture [data-part="post"][data-id="1"]').first.bounding_box()
    assert box
    page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] * 0.7)
    page.wait_for_selector("#sheet-svg", timeout=15000)
    assert page.get_attribute("#post-1", "aria-pressed") == "true"
    wide = page.locator("#sheet-svg").bounding_box()
    ratio = page.evaluate(
        "(() => { const v = document.getElementById('sheet-svg').viewBox.baseVal; return v.height / v.width })()"
    )
    assert wide and wide["height"] / wide["width"] == pytest.approx(ratio, rel=0.01)  # true proportions
    page.click("#zoom-true")
    # CSS Values 4, 6.2: 1 in is 96 px, so 1 mm is 96 / 25.4 px
    mm = page.evaluate("document.getElementById('sheet-svg').viewBox.baseVal.width")
    assert page.locator("#sheet-svg").bounding_box()["width"] == pytest.approx(mm * 96 / 25.4, rel=0.01)  # type: ignore[index]
    page.click("#zoom-in")
    assert page.locator("#sheet-svg").bounding_box()["width"] > mm * 96 / 25.4 * 1.2  # type: ignore[index]
    page.click("#zoom-wide")

    # a mark by name, and a mark by tapping it
    page.select_option("#mark-choice", "1/toward 2/1a")
    said = page.inner_text("#mark-said")
    assert "2 1/8 in (54.0 mm)" in said and "drill" in said and "Why this drill" in said
    mark = page.locator('#sheet-svg [data-mark="1/toward 2/2b"]').first
    mark.scroll_into_view_if_needed()
    spot = mark.bounding_box()
    assert spot
    page.mouse.click(spot["x"] + spot["width"] / 2 + 3, spot["y"] + spot["height"] / 2 + 3)
    assert "Mark 1/toward 2/2b" in page.inner_text("#mark-said")
    assert page.input_value("#mark-choice") == "1/toward 2/2b"


@pytest.mark.parametrize("size", [PHONE])
def test_jigs_are_added_and_seen_and_the_form_is_saved(page: Page) -> None:
    page.click("#tab-sheets")
    page.click("#what-jig")
    clicked(page, "#add-jigs")
    page.wait_for_selector("#sheet-svg", timeout=20000)
    assert state(page)["jig"]["thickness"] == "0.236 in"
    many = page.locator("#sheet-svg path").count()
    page.click("#jig-page-1")
    page.wait_for_selector("#sheet-svg.cut", timeout=20000)
    assert many > 20 and page.locator("#sheet-svg path").count() not in (0, many)
    page.select_option("#jig-choice", "comb")
    page.click("#tab-built")
    assert downloaded(page, "#save-form").startswith(b"%PDF")


@pytest.mark.parametrize("size", [PHONE])
def test_a_guard_from_nothing_and_its_runs_in_another_order(page: Page) -> None:
    """Every run taken out, two put in; one goes up; a post renamed is renamed in the run that shares it."""
    for _ in range(3):
        opened(page, "s-run-0")
        clicked(page, "#s-run-0 > .row > .away")
    assert state(page)["run"] == [] and "stop" in page.inner_text("#summary")
    clicked(page, "#add-run")
    assert state(page)["run"] == [{"posts": ["1", "2"], "spans": ["40 in"]}]
    assert page.locator("#run-tabs button").all_inner_texts() == ["Run A", "From above"]
    clicked(page, "#add-run")
    assert state(page)["run"][1] == {"posts": ["2", "3"], "spans": ["40 in"], "turn": "left 90 deg"}
    typed(page, "#f-run-0-posts-1", "corner")
    before = data(page, "looks")
    page.press("#f-run-0-posts-1", "Tab")
    settled(page, before)
    assert [run["posts"] for run in state(page)["run"]] == [["1", "corner"], ["corner", "3"]]
    clicked(page, "#s-run-0 .spanrow button")  # a post between the two
    assert state(page)["run"][0] == {"posts": ["1", "2", "corner"], "spans": ["40 in", "40 in"]}
    typed(page, "#f-run-0-spans-0", "a lot")
    assert state(page)["run"][0]["spans"] == ["a lot", "40 in"]  # kept, and told
    assert "a lot" in page.inner_text("#f-run-0-spans-0-wrong")
    clicked(page, "#s-run-0 .postrow button")
    assert state(page)["run"][0] == {"posts": ["2", "corner"], "spans": ["40 in"]}
    opened(page, "s-run-1")
    clicked(page, '#s-run-1 button[aria-label="Move run B up"]')
    assert [run["posts"] for run in state(page)["run"]] == [["corner", "3"], ["2", "corner"]]
    kept = state(page)
    page.reload()
    settled(page)
    assert state(page) == kept


COMMENTED = """\
# measured in the rain

[job]
name = "Juniper gate"     # as on the order
code = "irc-2021"

[post.cedar]              # the old ones
width = "3 1/2 in"
material = "western red cedar"

# along the hedge
[[run]]
posts = ["1", "2"]
spans = ["40 in"]         # taped twice
"""


@pytest.mark.parametrize("size", [PHONE])
def test_a_commented_job_comes_back_with_its_comments(page: Page, tmp_path: Path) -> None:
    """Opened, one field typed over, saved: the line of that field is another, and no other line is."""
    job = tmp_path / "job.toml"
    job.write_text(COMMENTED, encoding="utf-8")
    page.click("#tab-file")
    before = data(page, "looks")
    page.set_input_files("#open-file", job)
    settled(page, before)
    page.click("#tab-job")
    opened(page, "s-run-0")
    typed(page, "#f-run-0-spans-0", "41 1/2 in")
    page.click("#tab-file")
    assert downloaded(page, "#save-job").decode() == COMMENTED.replace("40 in", "41 1/2 in")


@pytest.mark.parametrize("size", [PHONE])
def test_what_was_taped_is_told_beside_its_post(page: Page) -> None:
    page.click("#tab-built")
    typed(page, "#f-as_5fbuilt-2-underside", "35 in")
    assert "leaves the sheet that it shared with post 3" in page.inner_text("#told-f-2")
    typed(page, "#f-as_5fbuilt-2-underside", "")
    assert page.inner_text("#told-f-2") == ""
    assert "as_built" not in state(page)


@pytest.mark.parametrize("size", [PHONE])
def test_a_post_of_two_runs_is_taped_under_each_rail(page: Page) -> None:
    page.click("#tab-built")
    assert page.locator("#f-as_5fbuilt-4-underside").count() == 0  # post 4 is the corner of front and side
    typed(page, "#f-as_5fbuilt-4-underside-side", "34 1/4 in")
    assert state(page)["as_built"]["4"] == {"underside": {"side": "34 1/4 in"}}
    assert "as built" in page.inner_text("#told-f-4")
    typed(page, "#f-as_5fbuilt-4-underside-side", "")
    assert "as_built" not in state(page)
    assert page.inner_text("#told-f-4") == ""


@pytest.mark.parametrize("size", [PHONE])
def test_cancel_and_stops_are_told(page: Page) -> None:
    page.click("#tab-make")
    page.click("#make")
    page.click("#make-cancel")
    page.wait_for_selector("text=Cancelled; nothing was made.", timeout=15000)
    page.click("#tab-job")
    opened(page, "s-guard")
    typed(page, "#f-guard-height", "20 in")
    page.click("#tab-make")
    page.click("#make")
    page.wait_for_selector("text=these stops stand in the way", timeout=30000)


@pytest.mark.parametrize("size", [PHONE])
def test_a_printer_is_measured_and_kept(page: Page) -> None:
    page.click("#tab-printer")
    assert downloaded(page, "#scale-link").startswith(b"%PDF")
    page.fill("#printer-name", "shed-1")
    page.fill("#read-across", "190.6")
    page.click("#keep-printer")
    page.wait_for_selector("#printer-said .wrong")
    page.fill("#read-across", "190.6 of 190.5 mm")
    page.fill("#read-along", "239.1 of 240 mm")
    page.click("#keep-printer")
    page.wait_for_selector("#printers >> text=shed-1 on letter")
    page.click("#tab-make")
    page.wait_for_selector("#make-printer option:nth-child(2)", state="attached")
    assert "shed-1 on letter" in page.locator("#make-printer option").all_inner_texts()
    page.click("#tab-printer")
    page.click("text=Forget shed-1")
    page.wait_for_selector("#printers >> text=None yet.")


@pytest.mark.parametrize("size", [PHONE])
def test_any_name_is_only_letters(page: Page) -> None:
    """A script in a name stays a name, in the page and in the drawing."""
    evil = "</title><script>document.title='x'</script><img src=x onerror=alert(1)>"
    opened(page, "s-job")
    typed(page, "#f-job-name", evil[:70])
    assert page.inner_text("#job-name") == evil[:70]
    assert page.locator("#picture script, #picture img, header script, header img").count() == 0
    opened(page, "s-run-0")
    typed(page, "#f-run-0-id", "<img src=x>")
    assert page.locator("#run-tabs button").first.inner_text() == "Run <img src=x>"
    assert page.locator("#board img").count() == 0


def each_tab(page: Page) -> Iterator[str]:
    """Every tab shown in turn, with all open in it that opens."""
    page.evaluate("document.getElementById('problems').open = true")
    for tab in TABS:
        page.click(f"#tab-{tab}")
        if tab == "job":
            page.evaluate("document.querySelectorAll('.section').forEach((one) => { one.open = true })")
        yield tab


@BOTH
def test_axe_finds_nothing_serious(page: Page, size: tuple[int, int]) -> None:
    for tab in each_tab(page):
        if tab == "sheets":
            page.wait_for_selector("#sheet-svg", timeout=15000)
            page.select_option("#mark-choice", index=1)
        time.sleep(0.2)
        found = Axe().run(page).response["violations"]
        if tab == "sheets" and size == PHONE:
            page.click("#what-jig")
            clicked(page, "#add-jigs")
            page.wait_for_selector("#jig-page-1", timeout=20000)
            found += Axe().run(page).response["violations"]
        serious = [
            (one["id"], [node["html"][:120] for node in one["nodes"][:3]])
            for one in found
            if one["impact"] in ("serious", "critical")
        ]
        assert serious == [], tab


@BOTH
def test_targets_are_wide_enough_and_nothing_runs_off_the_screen(page: Page, size: tuple[int, int]) -> None:
    for tab in each_tab(page):
        if tab == "sheets":
            page.click("#what-jig")
            page.click("#add-jigs")
            page.wait_for_selector("#jig-page-1", timeout=20000)
        small = page.evaluate(
            """(least) => [...document.querySelectorAll("button, a, input, select, textarea, summary")]
            .filter((one) => one.checkVisibility() && !one.classList.contains("skip"))
            .map((one) => [one.id || one.textContent, one.getBoundingClientRect()])
            .filter(([_, box]) => box.width < least || box.height < least)
            .map(([name, box]) => [name, box.width, box.height])""",
            TOUCH,
        )
        assert small == [], tab
        assert page.evaluate("document.documentElement.scrollWidth") <= size[0], tab


@pytest.mark.parametrize("size", [SHOP])
def test_the_keyboard_reaches_everything(page: Page) -> None:
    page.evaluate("document.getElementById('problems').open = true")
    page.evaluate("document.querySelectorAll('.section').forEach((one) => { one.open = true })")
    wanted = page.evaluate(
        """[...document.querySelectorAll("button:not([disabled]), a, input, select, summary")]
        .filter((one) => one.checkVisibility() && one.tabIndex >= 0)
        .filter((one) => one.type !== "radio" || one.checked).length"""
    )
    page.evaluate("document.activeElement.blur()")
    reached = set()
    for _ in range(wanted + 10):
        page.keyboard.press("Tab")
        reached.add(
            page.evaluate(
                "(() => { const all = [...document.querySelectorAll('*')]; return all.indexOf(document.activeElement) })()"
            )
        )
    assert len(reached) >= wanted
    page.focus("#tab-job")
    page.keyboard.press("ArrowRight")
    assert page.get_attribute("#tab-sheets", "aria-selected") == "true"
    page.wait_for_selector("#sheet-svg", timeout=15000)
    page.keyboard.press("End")
    assert page.get_attribute("#tab-file", "aria-selected") == "true"
