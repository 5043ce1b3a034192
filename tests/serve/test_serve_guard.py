"""Who is let in, and what every answer says to a browser."""

import json
import os
import stat

import pytest
from serve_world import COOKIE, HOST, World, moved, slip, write_season

from planner.serve.devices import FILE, known_by, token_of
from planner.serve.guard import LARGEST
from planner.serve.pairing import LOCKED, MOST_WRONG

EVENTS = "/season/porch/events"
PATHS = ("/", "/season/porch/", "/season/porch/state", "/season/porch/paper/map.pdf")


@pytest.mark.parametrize("path", [*PATHS, "/pair", "/open/x"])
def test_a_foreign_name_that_leads_here_gets_nothing(porch, path):
    for host in ("evil.example:8427", "127.0.0.1:80", "127.0.0.1", "", "127.0.0.1:8427.evil.example"):
        said = porch.get(path, host=host)
        assert (said.status, said.data) == (421, {"problems": ["This address is not served here."]})


@pytest.mark.parametrize("path", PATHS)
def test_who_has_no_cookie_of_ours_sees_nothing_of_a_season(porch, path):
    for cookie in (None, f"{COOKIE}=", f"{COOKIE}=guess", f"other={porch.cookie}"):
        said = porch.get(path, cookie=cookie)
        assert (said.status, said.headers["location"]) == (303, "/pair")
        said = porch.get(path, cookie=cookie, accept="application/json")
        assert said.status == 401
        assert "Porch" not in said.text


@pytest.mark.parametrize(
    ("wrong", "status"),
    [
        ({"origin": None}, 403),
        ({"origin": "null"}, 403),
        ({"origin": "http://evil.example"}, 403),
        ({"origin": f"https://{HOST}"}, 403),
        ({"origin": "http://127.0.0.1:9"}, 403),
        ({"origin": "http://localhost:8427"}, 403),  # ours too, but of another name
        ({"sec_fetch_site": "cross-site"}, 403),
        ({"sec_fetch_site": "same-site"}, 403),
        ({"cookie": None}, 401),
        ({"x_hangplan_token": None}, 403),
        ({"x_hangplan_token": "é"}, 403),
        ({"x_hangplan_token": token_of("another")}, 403),
        ({"content_length": str(LARGEST + 1)}, 413),
        ({"content_length": "many"}, 413),
    ],
)  # fmt: skip
def test_a_change_needs_our_origin_the_cookie_and_the_token(porch, wrong, status):
    for path in (EVENTS, "/season/porch/plan", "/season/porch/stop", "/devices/forget", "/code", "/begin"):
        assert porch.post(path, slip(moved(1, "m2", "4")), **wrong).status == status, path
    assert (porch.root / "pupae.csv").read_text().startswith("id,pupated,place,x,y\nm1,")
    assert not (porch.root / "taken.jsonl").exists()


@pytest.mark.parametrize("method", ["PUT", "DELETE", "OPTIONS", "TRACE", "PATCH"])
def test_no_other_method_is_understood(porch, method):
    assert porch.ask(method, "/").status == 405


def test_every_answer_says_that_it_is_not_kept_framed_or_guessed_at(porch):
    answers = [porch.get(path) for path in (*PATHS[:3], "/pair", "/open/x", "/nothing", "/season/other/")]
    answers += [porch.get("/", host="x"), porch.post("/devices/forget"), porch.post(EVENTS, slip())]
    for said in answers:
        assert said.headers["cache-control"] == "no-store"
        assert said.headers["x-content-type-options"] == "nosniff"
        assert said.headers["referrer-policy"] == "same-origin"
        assert "default-src 'none'" in said.headers["content-security-policy"]
        assert "frame-ancestors 'none'" in said.headers["content-security-policy"]
        assert "unsafe" not in said.headers["content-security-policy"]
        assert "access-control-allow-origin" not in said.headers


def test_no_answer_names_a_path_of_this_computer(porch):
    porch.get("/season/porch/")
    (porch.root / "plan.yaml").unlink()
    said = [porch.get(path) for path in ("/", "/season/porch/", "/season/porch/state", "/nothing")]
    (porch.root / "pupae.csv").write_text("id\n\x00")
    said += [porch.get("/season/porch/"), porch.post(EVENTS, slip(moved(1, "m2", "4")))]
    (porch.root / "taken.jsonl").write_text("x\n")
    said += [porch.get("/season/porch/"), porch.get("/season/porch/paper/none.pdf"), porch.post("/begin")]
    for one in said:
        assert str(porch.root.parent) not in one.text
        assert "Traceback" not in one.text


def test_what_goes_wrong_in_our_own_code_is_told_without_a_traceback(porch, monkeypatch):
    def broken(*_):
        raise RuntimeError(str(porch.root))

    monkeypatch.setattr(porch.service, "record", broken)
    said = porch.send(moved(1, "m2", "4"))
    assert (said.status, said.data) == (
        500,
        {"problems": ["That is a fault of hangplan. What you wrote down stays on this phone."]},
    )
    assert porch.told == ["a request could not be answered (RuntimeError): that is a fault of hangplan"]


def test_the_link_that_this_computer_opens_holds_once_and_here_only(porch):
    path = porch.site.ticket()
    assert porch.ask("GET", path, client="192.0.2.9", cookie=None).status == 403
    said = porch.get(path, cookie=None)
    assert (said.status, said.headers["location"]) == (303, "/season/porch/")
    cookie = said.headers["set-cookie"]
    assert cookie.startswith(f"{COOKIE}=")
    assert "HttpOnly" in cookie
    assert "SameSite=strict" in cookie
    assert "Max-Age" not in cookie  # it ends with the browser
    assert porch.get("/", cookie=cookie.split(";")[0]).status == 200
    assert porch.get(path, cookie=None).status == 403


def test_a_phone_is_paired_by_the_six_figures_once(porch):
    code = porch.service.pairing.code()
    said = porch.pair(f"{code[:3]} {code[3:]}", "Anna's phone")
    assert (said.status, said.headers["location"]) == (303, "/season/porch/")
    cookie = said.headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=strict" in cookie
    assert porch.get("/", cookie=cookie.split(";")[0]).status == 200
    assert porch.pair(code).status == 403  # the next phone has other figures
    kept = (porch.root / FILE).read_text()
    secret = cookie.split("=")[1].split(";")[0]
    assert secret not in kept
    assert known_by(secret) in kept
    if os.name == "posix":
        assert stat.S_IMODE((porch.root / FILE).stat().st_mode) == 0o600


def test_wrong_figures_wait_longer_each_time_and_lock_pairing_in_the_end(porch):
    right = porch.service.pairing.code()
    wrong = "000000" if right != "000000" else "111111"
    answers = [porch.pair(wrong) for _ in range(MOST_WRONG)]
    assert {said.status for said in answers} == {403}
    assert porch.waited == [0.5, 1.0, 2.0, 4.0, 8.0, 8.0, 8.0, 8.0, 8.0]
    assert porch.told[0] == "wrong code from 192.0.2.9: try 1 of 10"
    assert porch.told[-1] == "pairing is locked: ask for a new code in the browser of this computer"
    assert LOCKED in porch.pair(right).text
    assert porch.devices.known().devices == ()

    assert porch.post("/code").status == 200  # by who sits at the computer
    assert porch.pair(porch.service.pairing.code()).status == 303


def test_the_figures_are_shown_on_this_computer_only(porch):
    code = porch.service.pairing.code()
    assert code in porch.get("/").text
    cookie = porch.pair(code).headers["set-cookie"].split(";")[0]
    phone = {"cookie": cookie, "x_hangplan_token": token_of(cookie.split("=")[1])}
    assert porch.service.pairing.code() not in porch.get("/", **phone).text
    assert porch.post("/code", **phone).status == 403


def test_a_phone_that_is_removed_is_not_let_in_any_more(porch):
    cookie = porch.pair(porch.service.pairing.code(), "phone").headers["set-cookie"].split(";")[0]
    assert porch.post("/devices/forget", {"name": "Phone"}).status == 200
    assert porch.get("/season/porch/state", cookie=cookie, accept="*/*").status == 401
    assert porch.post("/devices/forget", {"name": "phone"}).status == 404


def test_names_of_phones_are_told_apart_cut_and_escaped(porch):
    for name in ("phone", "phone", "this computer", "<script>x</script>" * 9, "a\nb\x1b[31m", " "):
        assert porch.pair(porch.service.pairing.code(), name).status == 303
    names = [one.name for one in porch.devices.known().devices]
    assert names[:3] == ["phone", "phone 2", "this computer 2"]
    assert names[3] == ("<script>x</script>" * 9)[:40]
    assert names[4:] == ["a b [31m", "phone 3"]
    assert "<script>x" not in porch.get("/").text


def test_without_lan_no_phone_is_paired(tmp_path):
    world = World(write_season(tmp_path / "porch"))
    world.service.pairing = None
    world.app = world.site.app(frozenset({HOST}))
    assert world.pair("123456").status == 403
    said = world.get("/", cookie=None)
    assert said.status == 401
    assert "This browser is not known here" in said.text
    assert world.get("/", cookie=None, accept="*/*").data["problems"]


def test_a_file_of_devices_that_was_spoilt_lets_nobody_in_and_is_told(porch):
    (porch.root / FILE).write_text(json.dumps({"devices": [{"name": "x"}]}))
    said = porch.get("/", cookie=f"{COOKIE}=x")
    told = f"{FILE}: is no list of devices: remove the file, and pair the phones again"
    assert (said.status, said.data) == (500, {"problems": [told]})
    assert porch.get("/season/porch/").status == 200  # who sits at this computer goes on
