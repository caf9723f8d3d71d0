"""The service: looks, sheets, files, packets of the same bytes as the command's, printers; what goes wrong comes back in words."""

from __future__ import annotations

import concurrent.futures
import json
import os
import re
import time
import tomllib
import zipfile
from io import BytesIO
from pathlib import Path
from typing import Any

import httpx
import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st
from starlette.testclient import TestClient

from jiggen.cli import main
from jiggen.web import tasks
from jiggen.web.app import Settings, create_app
from jiggen.web.builds import zipped
from jiggen.web.forms import FORMS
from jiggen.web.starts import first_job
from jiggen.web.state import to_state
from jiggen.web.toml import write

BASE = "http://127.0.0.1:8350"
BYTES = {"content-type": "application/octet-stream"}
SMALL = {
    "job": {"name": "Juniper gate", "code": "irc-2021"},
    "cable": {"tension": "300 lbf"},
    "post": {"cedar": {"width": "3 1/2 in", "material": "western red cedar"}},
    "run": [{"posts": ["1", "2"], "spans": ["30 in"]}],
}


def stair() -> dict[str, Any]:
    return to_state(first_job("stair", False))


def built(client: TestClient, form: dict[str, Any], limit: float = 60.0) -> dict[str, Any]:
    """A packet asked for and waited for."""
    told: dict[str, Any] = client.post("/api/builds", json=form).json()
    end = time.monotonic() + limit
    while told["state"] in ("waiting", "working") and time.monotonic() < end:
        time.sleep(0.05)
        told = client.get(f"/api/builds/{told['id']}").json()
    return told


def files_of(client: TestClient, told: dict[str, Any]) -> dict[str, bytes]:
    return {name: client.get(f"/api/builds/{told['id']}/files/{name}").content for name, _ in told["files"]}


def made_by_command(folder: Path, text: str, *options: str) -> dict[str, bytes]:
    """Every file that ``jiggen make`` writes for a job file of that text."""
    job = folder / "job.toml"
    job.write_bytes(text.encode())
    result = CliRunner().invoke(main, ["make", str(job), "--to", str(folder / "out"), *options])
    assert result.exit_code == 0, result.output
    return {
        p.relative_to(folder / "out").as_posix(): p.read_bytes() for p in (folder / "out").rglob("*") if p.is_file()
    }


def test_a_look_has_plan_problems_and_drawings(client: TestClient) -> None:
    found = client.post("/api/look", json={"state": stair(), "wide": 190}).json()
    assert found["planned"]
    assert [run["id"] for run in found["runs"]] == ["front", "side", "steps"]
    assert found["runs"][0]["words"] == "9 cables every 3 in (76.2 mm)"
    assert found["text"] == write(first_job("stair", False))
    for run in found["runs"]:
        svg = "".join(picture["svg"] for picture in run["pictures"])
        assert all(f'data-id="{post}"' in svg for post in run["posts"])
    assert found["plan_view"]["svg"].startswith("<svg")
    assert {post["id"]: post["sheets"] for post in found["posts"]}["2"] != []


def test_a_change_of_spacing_changes_the_drawing(client: TestClient) -> None:
    state = stair()
    before = client.post("/api/look", json={"state": state}).json()
    state["guard"]["spacing"] = "2 3/4 in"
    after = client.post("/api/look", json={"state": state}).json()
    cables = [
        len(set(re.findall(r'data-id="([^"]*)" data-part="cable"', look["runs"][0]["pictures"][0]["svg"])))
        for look in (before, after)
    ]  # a cable may be drawn in pieces, each with its name
    # 32 in from the rail's underside to the bottom rail's top is 9 x 3 in and 5 in more; 10 x 2 3/4 in are 27 1/2 in
    assert cables == [9, 10]


def test_a_bad_value_is_told_at_its_key(client: TestClient) -> None:
    state = stair()
    state["run"][1]["spans"][0] = "41 inchs"
    found = client.post("/api/look", json={"state": state}).json()
    (problem,) = found["problems"]
    assert not found["planned"]
    assert problem["path"] == ["run", 1, "spans", 0] and "41 inchs" in problem["found"] and problem["remedy"]
    assert "41 inchs" in found["text"]  # and is kept


def test_problems_are_placed(client: TestClient, deck: str) -> None:
    state = to_state(tomllib.loads(deck.replace('"#14 x 2 1/2 in"', '"#14 x 6 in"')))
    problems = client.post("/api/look", json={"state": state}).json()["problems"]
    clash = next(p for p in problems if " and " in p["where"] and "/" in p["where"])
    assert clash["posts"] == ["4"] and len(clash["marks"]) == 2
    ends = next(p for p in problems if p["where"] == "posts 1 and 4, run A")
    assert ends["posts"] == ["1", "4"] and ends["runs"] == ["A"]
    assert [p["level"] for p in problems] == sorted((p["level"] for p in problems), key=["stop", "check", "note"].index)


def test_the_packet_has_the_bytes_of_the_commands(client: TestClient, tmp_path: Path) -> None:
    told = built(client, {"state": SMALL})
    assert told["state"] == "done", told
    ours = files_of(client, told)
    theirs = made_by_command(tmp_path, client.post("/api/look", json={"state": SMALL}).json()["text"])
    assert sorted(ours) == sorted(theirs)
    assert [name for name in ours if ours[name] != theirs[name]] == []
    assert ours["packet.pdf"].startswith(b"%PDF")
    archive = zipfile.ZipFile(BytesIO(client.get(f"/api/builds/{told['id']}/files/packet.zip").content))
    assert {name: archive.read(name) for name in archive.namelist()} == ours
    assert zipped(ours) == zipped(ours)


def test_an_opened_file_that_nobody_changes_keeps_its_bytes(client: TestClient, tmp_path: Path) -> None:
    """Comments and layout too: the text that it was opened from is what is made."""
    text = "# Juniper gate, measured in the rain\n\n" + write(SMALL).replace("[cable]", "[cable]   # strung in May")
    opened = client.post("/api/open", content=text.encode(), headers=BYTES).json()
    assert opened["text"] == text and opened["state"] == SMALL
    told = built(client, {"state": opened["state"], "base": opened["text"]})
    packet = files_of(client, told)
    assert packet["job.toml"] == text.encode()
    again = client.post("/api/open", content=packet["packet.pdf"], headers=BYTES).json()
    assert again["text"] == text and again["state"] == SMALL
    assert made_by_command(tmp_path, text)["packet.pdf"] == packet["packet.pdf"]


def test_options_are_the_commands(client: TestClient, tmp_path: Path) -> None:
    told = built(client, {"state": SMALL, "options": {"paper": "a4", "only": ["S1"], "draft": True}})
    theirs = made_by_command(tmp_path, write(SMALL), "--paper", "a4", "--only", "S1", "--draft")
    assert files_of(client, told)["packet.pdf"] == theirs["packet.pdf"]
    opened = client.post("/api/open", content=theirs["packet.pdf"], headers=BYTES).json()
    assert opened["made"] == {"paper": "a4", "only": ["S1"], "draft": True}


def test_a_chosen_printer_corrects_as_the_command_does(
    client: TestClient, settings: Settings, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("jiggen.printers.folder", lambda: settings.printers)
    reading = {"name": "shed-1", "paper": "letter", "across": "190.6 of 190.5 mm", "along": "239.1 of 240 mm"}
    kept = client.post("/api/printers", json=reading).json()
    assert "100.05 % across" in kept["words"]  # 190.6 / 190.5 = 1.00052
    assert client.get("/api/printers").json()["printers"] == [kept]
    options = {"printer": kept["name"], "correction": kept["correction"], "paper": kept["paper"]}
    ours = files_of(client, built(client, {"state": SMALL, "options": options}))
    theirs = made_by_command(tmp_path, write(SMALL), "--paper", "letter", "--printer", "shed-1")
    assert ours["packet.pdf"] == theirs["packet.pdf"]
    assert client.request("DELETE", "/api/printers/shed-1").json() == {"papers": ["letter"]}
    assert client.get("/api/printers").json()["printers"] == []


def test_a_stop_is_refused_and_told(client: TestClient) -> None:
    state = stair()
    state["guard"]["height"] = "20 in"
    told = built(client, {"state": state})
    assert told["state"] == "refused"
    assert any(p["level"] == "stop" and "20 in" in p["found"] for p in told["problems"])


def test_a_sheet_shows_every_mark(client: TestClient) -> None:
    found = client.post("/api/sheet", json={"state": stair(), "sheet": "S1"}).json()
    assert found["marks"] and all(f'data-mark="{mark["id"]}"' in found["svg"] for mark in found["marks"])
    mark = next(m for m in found["marks"] if m["label"] == "1a")
    rows = dict(mark["rows"])
    # cable 1 is one spacing, 3 in, under the rail; the plate's upper screw 7/8 in over it: 3 - 7/8 = 2 1/8 in, 53.975 mm
    assert rows["drop, below the underside"] == "2 1/8 in (54.0 mm)"
    assert rows["drill"] and mark["why"] and mark["what"]


def test_a_jig_is_shown_as_it_is_cut(client: TestClient) -> None:
    """Every jig of the packet is in the list, and a panel has the lines of its file."""
    jig = {"thickness": "0.236 in", "kerf": "0.2 mm", "bed": ["40 in", "24 in"], "stock": ["48 in", "24 in"]}
    form = {"state": {**SMALL, "jig": jig}}
    found = client.post("/api/jig", json=form).json()
    files = files_of(client, built(client, form))
    assert [f"jigs/{one['id']}.svg" for one in found["jigs"]] == [
        name for name in files if name.startswith("jigs/") and name.endswith(".svg")
    ]
    assert found["shown"]["id"] == "S1" and found["shown"]["notes"]
    assembly, panel = (picture["svg"] for picture in found["shown"]["pictures"])
    assert assembly.count("<path") > 20
    cut = files["jigs/S1.svg"].decode()
    assert re.findall(r' d="[^"]*"', panel) == re.findall(r' d="[^"]*"', cut) != []
    other = client.post("/api/jig", json={**form, "jig": "comb"}).json()
    assert other["shown"]["id"] == "comb" and other["jigs"] == found["jigs"]
    assert client.post("/api/jig", json={"state": SMALL}).json()["shown"] is None


@pytest.mark.parametrize("metric", [False, True], ids=["inch", "metric"])
def test_the_measure_up_form_is_the_commands(client: TestClient, tmp_path: Path, metric: bool) -> None:
    job, file = tmp_path / "job.toml", tmp_path / "form.pdf"
    job.write_text(write(first_job("stair", metric)), encoding="utf-8")
    assert CliRunner().invoke(main, ["form", str(job), "--to", str(file)]).exit_code == 0
    answer = client.post("/api/form", json={"state": to_state(first_job("stair", metric))})
    assert answer.content == file.read_bytes() and answer.headers["content-type"] == "application/pdf"


def test_no_form_of_a_job_that_cannot_be_read(client: TestClient) -> None:
    answer = client.post("/api/form", json={"state": {**SMALL, "run": []}})
    assert answer.headers["content-type"] == "application/json" and answer.json()["problems"][0]["level"] == "stop"


def test_a_picture_is_no_job_and_says_what_is(client: TestClient) -> None:
    found = client.post("/api/open", content=b"\x89PNG\r\n\x1a\n\0\0\0", headers=BYTES).json()
    assert "job.toml" in found["problems"][0]["remedy"]


def test_an_unknown_sheet_is_a_problem(client: TestClient) -> None:
    for name in ("S99", "", "../S1", 7, None):
        found = client.post("/api/sheet", json={"state": SMALL, "sheet": name}).json()
        assert found["problems"][0]["level"] == "stop"


def test_what_was_taped_shows_who_leaves_the_group(client: TestClient) -> None:
    state = stair() | {"as_built": {"2": {"underside": "35 in"}}}
    problems = client.post("/api/look", json={"state": state}).json()["problems"]
    assert any(p["posts"] == ["2"] and "leaves the sheet" in p["found"] and "post 3" in p["found"] for p in problems)


def test_names_are_escaped(client: TestClient) -> None:
    """A name cannot end the drawing's own tags; a browser reads it as letters."""
    evil = "</title><script>alert(1)</script>\"'&"
    state = json.loads(json.dumps(SMALL))
    state["job"]["name"] = evil
    state["run"][0]["id"] = '<img src=x>"&'
    found = client.post("/api/look", json={"state": state}).json()
    assert found["planned"]
    drawings = "".join(p["svg"] for run in found["runs"] for p in run["pictures"]) + found["plan_view"]["svg"]
    assert "<script" not in drawings and "<img" not in drawings and "&lt;img" in drawings
    sheet = client.post("/api/sheet", json={"state": state, "sheet": "S1"}).json()
    assert "<script" not in sheet["svg"]


FIELDS = [(table, field["key"], field["kind"]) for table, fields in FORMS.items() for field in fields]
PLACES = {
    "post": ("post", "slim"),
    "fitting": ("fitting", "tensioner"),
    "bracket": ("bracket", "mine"),
    "run": ("run", 0),
    "stair": ("run", 2, "stair"),
    "ramp": ("run", 1, "ramp"),
    "spacers": ("run", 0, "spacers"),
    "wire": ("run", 0, "wire"),
    "as_built": ("as_built", "2"),
}
words = st.text(max_size=20) | st.sampled_from(
    [
        "0 in",
        "-3 in",
        "1e999 in",
        "nan",
        "inf",
        "9" * 400,
        "1/0 in",
        "3 1/2",
        "½ in",
        "3'",
        "90 deg",
        "100 %",
        "\x00",
        "\ud800",
    ]
)
numbers = st.integers(-(10**30), 10**30) | st.floats() | st.booleans()
anything = words | numbers | st.lists(words | numbers, max_size=3) | st.lists(st.lists(words, max_size=2), max_size=2)


@given(field=st.sampled_from(FIELDS), value=anything)
@hypothesis_settings(max_examples=300)
def test_any_text_in_any_field_is_a_problem_or_a_plan(field: tuple[str, str, str], value: Any) -> None:
    """Straight to the tasks, so that what a working process would turn into words is seen here."""
    table, key, _ = field
    state: Any = stair()
    place = state
    for step in (*PLACES.get(table, (table,)), *key.split(".")[:-1]):
        place = place.setdefault(step, {}) if isinstance(place, dict) else place[step]
    place[key.split(".")[-1]] = value
    try:
        found = tasks.look({"state": state, "wide": 120})
    except tasks.JobError as error:
        found = tasks.refused(error)
    assert found["planned"] or found["problems"]
    assert json.loads(tasks.to_bytes(found)) is not None


def test_a_look_that_takes_too_long_is_ended() -> None:
    """The working process is killed and the next look is answered by a fresh one."""
    slow = {**SMALL, "run": [{"posts": [str(n) for n in range(1500)], "spans": ["30 in"] * 1499}]}
    with TestClient(create_app(Settings(look_limit=0.8, lookers=1)), base_url=BASE) as client:
        began = time.monotonic()
        found = client.post("/api/look", json={"state": slow}).json()
        assert "took longer than" in found["problems"][0]["found"] and not found["planned"]
        assert time.monotonic() - began < 6.0
        assert "typed" in found["problems"][0]["remedy"]
    with TestClient(create_app(Settings(look_limit=0.0)), base_url=BASE) as client:
        (problem,) = client.post("/api/open", content=b"job = 1", headers=BYTES).json()["problems"]
        assert (problem["where"], problem["remedy"]) == ("the file", "choose a smaller file")
    with TestClient(create_app(Settings(look_limit=20.0, lookers=1)), base_url=BASE) as client:
        assert client.post("/api/look", json={"state": SMALL}).json()["planned"]


def test_looks_that_are_taken_back_keep_nobody_waiting(address: str) -> None:
    """As a browser takes back a look when more is typed: the next one does not stand in line behind them."""
    slow = {**SMALL, "run": [{"posts": [str(n) for n in range(4000)], "spans": ["30 in"] * 3999}]}
    for _ in range(6):
        with pytest.raises(httpx.ReadTimeout):
            httpx.post(f"{address}api/look", json={"state": slow}, timeout=httpx.Timeout(5.0, read=0.1))
    began = time.monotonic()
    assert httpx.post(f"{address}api/look", json={"state": SMALL}, timeout=60.0).json()["planned"]
    assert time.monotonic() - began < 8.0  # one alone may work for 10 s


def test_a_build_tells_how_far_it_is_and_can_be_cancelled(client: TestClient) -> None:
    id = client.post("/api/builds", json={"state": stair()}).json()["id"]
    seen: set[tuple[str, int]] = set()
    end = time.monotonic() + 60.0
    while time.monotonic() < end:
        told = client.get(f"/api/builds/{id}").json()
        seen.add((told["state"], told["done"]))
        if told["done"] >= 2 or told["state"] not in ("waiting", "working"):
            break
        time.sleep(0.02)
    assert {"waiting", "working"} & {state for state, _ in seen}
    cancelled = client.request("DELETE", f"/api/builds/{id}").json()
    assert cancelled["state"] == "cancelled" and cancelled["total"] > 2
    assert client.get(f"/api/builds/{id}/files/packet.pdf").status_code == 404
    assert built(client, {"state": SMALL, "options": {"only": ["S1"]}})["state"] == "done"  # the next one is not harmed


def test_a_build_has_a_time_limit() -> None:
    with TestClient(create_app(Settings(build_limit=0.3)), base_url=BASE) as client:
        told = built(client, {"state": stair()})
        assert told["state"] == "failed" and "longer than" in told["words"]


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_the_scale_page_is_the_commands(client: TestClient, tmp_path: Path, paper: str) -> None:
    file = tmp_path / "scale.pdf"
    assert CliRunner().invoke(main, ["scale", "--paper", paper, "--to", str(file)]).exit_code == 0
    answer = client.get(f"/api/scale/{paper}")
    assert answer.content == file.read_bytes() and answer.headers["content-type"] == "application/pdf"


@pytest.mark.parametrize(
    "reading",
    [
        {"across": "190.6", "along": "239.1 of 240 mm"},
        {"across": "120 of 190.5 mm", "along": "239.1 of 240 mm"},
        {"across": "x" * 500, "along": "239.1 of 240 mm"},
        {"across": ["1"], "along": 3},
        {},
    ],
)
def test_readings_without_sense_are_told(client: TestClient, reading: dict[str, Any], settings: Settings) -> None:
    found = client.post("/api/printers", json={"name": "shed-1", "paper": "letter", **reading}).json()
    assert found["problems"][0]["level"] == "stop" and found["problems"][0]["remedy"]
    assert client.get("/api/printers").json()["printers"] == []


def test_a_folder_that_cannot_be_used_is_told_without_its_path(tmp_path: Path) -> None:
    (tmp_path / "printers").write_text("a file where a folder should be")
    reading = {"name": "shed-1", "paper": "letter", "across": "190.6 of 190.5 mm", "along": "239.1 of 240 mm"}
    answer = TestClient(create_app(Settings(printers=tmp_path / "printers")), base_url=BASE).post(
        "/api/printers", json=reading
    )  # no working process is started for it
    assert answer.status_code == 409 and "kept printers" in answer.json()["error"]
    assert str(tmp_path) not in answer.text


def test_ten_users_at_once(address: str, deck: str) -> None:
    """Each looks, changes, sees a sheet and looks again, on the loopback; by hand for 20 s. No answer fails."""
    until = time.monotonic() + (20.0 if os.environ.get("BY_HAND") else 2.0)
    state = to_state(tomllib.loads(deck))

    def use(number: int) -> list[tuple[int, float]]:
        found = []
        with httpx.Client(base_url=address, timeout=60.0) as user:
            while time.monotonic() < until:
                own = json.loads(json.dumps(state))
                own["guard"]["spacing"] = f"2 {number + 1}/16 in"
                look = user.post("/api/look", json={"state": own})
                assert look.json()["planned"] and f'spacing = "2 {number + 1}/16 in"' in look.json()["text"]
                sheet = user.post("/api/sheet", json={"state": SMALL, "sheet": "S1"})
                assert sheet.json()["marks"]
                found += [(one.status_code, one.elapsed.total_seconds()) for one in (look, sheet)]
        return found

    with concurrent.futures.ThreadPoolExecutor(10) as pool:
        found = list(pool.map(use, range(10)))
    assert all(len(one) >= 2 for one in found)
    assert {status for one in found for status, _ in one} == {200}
    times = sorted(seconds for one in found for _, seconds in one)
    print(f"{len(times)} answers, median {times[len(times) // 2]:.2f} s, worst {times[-1]:.2f} s")


def test_a_scan_of_the_scale_page_is_measured(client: TestClient) -> None:
    """The scale page as pixels at 200 dpi, drawn by pdfium: a scanner and a printer without any error."""
    import pypdfium2

    page = pypdfium2.PdfDocument(client.get("/api/scale/letter").content)[0]
    out = BytesIO()
    page.render(scale=200 / 72, grayscale=True).to_pil().save(out, "PNG")
    found = client.post("/api/scan?dpi=200", content=out.getvalue(), headers=BYTES).json()
    assert found["problems"] == [] or all(p["level"] == "note" for p in found["problems"]), found
    assert "scale page, paper 215.9 x 279.4 mm" in found["words"][0]  # letter: 8 1/2 x 11 in
    untold = client.post("/api/scan", content=out.getvalue(), headers=BYTES).json()  # the file does not say its dpi
    assert "dots per inch" in untold["problems"][0]["found"]


def test_a_scan_of_a_sheet_is_measured_against_the_packet(client: TestClient) -> None:
    import pypdfium2

    told = built(client, {"state": SMALL})
    packet = client.get(f"/api/builds/{told['id']}/files/packet.pdf").content
    document = pypdfium2.PdfDocument(packet)
    out = BytesIO()
    document[len(document) - 1].render(scale=200 / 72, grayscale=True).to_pil().save(out, "PNG")
    found = client.post(f"/api/scan?dpi=200&build={told['id']}", content=out.getvalue(), headers=BYTES).json()
    offs = [float(found_off[1]) for line in found["words"] if (found_off := re.search(r" ([0-9.]+) mm off", line))]
    assert offs and max(offs) < 0.2  # a pixel at 200 dpi is 0.127 mm
