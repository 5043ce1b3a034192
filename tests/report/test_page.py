"""The page is one file that loads nothing, runs nothing but its own, and takes every name as a name."""

import base64
import hashlib
import json
import re
from dataclasses import replace
from datetime import datetime, timedelta
from html.parser import HTMLParser
from pathlib import Path

import pytest

from planner.follow.day import Day
from planner.report.page.data import PageData
from planner.report.page.document import page, script_json
from planner.season import Lid, Line, Move, Plan, Pupa, Season, SpeciesEntry, When
from planner.season.places.dividers import Divider
from planner.season.plan.plan_record import Hang, Kept, Stuck, TooClose, Waits
from planner.words import Advised, Help, no_plan_yet

NOW = datetime(2027, 7, 5, 8)
HOSTILE = "</script><script>document.title='taken'</script><img src=x onerror=alert(1)>\"'&{{7*7}}"


def data(name="Porch", place="tub-2", note="", **more):
    """m1 and m2 pupated on 1 July: 10 days of 130 / (23 - 10) degree-days. m1 goes to north 4."""
    pupae = tuple(
        Pupa(id=id_, species="monarch", pupated=When.parse("2027-07-01"), place=place, x=x, y=5.0, note=note)
        for id_, x in (("m1", 5.0), ("m2", 12.0))
    )
    found = Season(
        folder=Path("porch"),
        name=name,
        profiles={"monarch": SpeciesEntry(lower=10, requirement=130)},
        places=(
            Line(name="north", length=60, height=150, clips_every=4),
            Lid(name=place, width=40, length=28),
        ),
        pupae=pupae,
    )
    step = Move(step=1, pupa="m1", from_place=place, from_spot="5,5", to_place="north", to_spot="4",
                not_before=datetime(2027, 7, 3), not_after=datetime(2027, 7, 10, 12))  # fmt: skip
    return PageData(Day(found, NOW, Plan(on=NOW, gap_days=2, hangs=(), moves=(step,))), **more)


class Tags(HTMLParser):
    """Elements with their attributes, and what stands in style and script elements."""

    def __init__(self, text):
        super().__init__()
        self.found, self.inside, self.open = [], {"script": [], "style": []}, None
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.found.append((tag, dict(attrs)))
        self.open = tag if tag in self.inside else None
        if self.open:
            self.inside[tag].append("")

    def handle_endtag(self, _tag):
        self.open = None

    def handle_data(self, text):
        if self.open:
            self.inside[self.open][-1] += text


@pytest.mark.parametrize("where", ["name", "place", "note", "plan_note"])
def test_a_text_that_looks_like_markup_adds_no_element(where):
    def given(text):
        return {where: Advised(text, (Help("plan", Path(), text),)) if where == "plan_note" else text}

    plain, odd = Tags(page(data(**given("plain")))), Tags(page(data(**given(HOSTILE))))
    assert [tag for tag, _ in odd.found] == [tag for tag, _ in plain.found]
    assert "img" not in {tag for tag, _ in odd.found}


def test_every_text_reaches_the_scripts_as_it_was_written():
    text = page(data(note=HOSTILE))
    facts = json.loads(Tags(text).inside["script"][0])
    assert facts["pupae"][0]["note"] == HOSTILE


def test_data_in_a_script_element_has_no_character_that_could_end_it():
    odd = [HOSTILE, "<!--<script>", "\u2028", "]]>", "&lt;"]
    assert not re.search(r"[<>&\u2028]", script_json(odd))
    assert json.loads(script_json(odd)) == odd


def test_its_policy_allows_its_own_style_and_script_and_no_connection():
    tags = Tags(page(data()))
    policy = next(a["content"] for t, a in tags.found if a.get("http-equiv") == "Content-Security-Policy")
    digests = [
        "'sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode() + "'"
        for text in (tags.inside["script"][1], tags.inside["style"][0])
    ]
    assert policy == (
        f"default-src 'none'; script-src {digests[0]}; style-src {digests[1]}; "
        "base-uri 'none'; form-action 'none'"
    )


def test_it_refers_to_nothing_outside_itself():
    text = page(data())
    tags = Tags(text)
    links = [a[k] for _, a in tags.found for k in ("src", "href", "action", "xlink:href", "data") if k in a]
    assert [link for link in links if not link.startswith("#")] == []
    assert not re.search(r"url\(|@import|fetch\(|XMLHttpRequest|WebSocket|sendBeacon|import\(", text)
    assert set(re.findall(r"https?://[^\s'\"<]+", text)) == {"http://www.w3.org/2000/svg"}
    assert [a for _, a in tags.found if "style" in a or any(k.startswith("on") for k in a)] == []


def test_its_scripts_put_no_text_where_it_would_be_read_as_markup():
    script = Tags(page(data())).inside["script"][1]
    assert script.startswith("(() => {\n'use strict';\n")
    assert not re.search(
        r"innerHTML|outerHTML|insertAdjacentHTML|document\.write|eval\(|new Function|DOMParser", script
    )


def test_an_id_stands_once():
    ids = [a["id"] for _, a in Tags(page(data())).found if "id" in a]
    assert len(ids) == len(set(ids))


def test_the_move_list_is_in_the_file_itself_with_its_times():
    text = page(data())
    row = re.sub(r"<[^>]+>", " ", text[text.index('<li class="row"') :])
    assert " ".join(row.split()).startswith(
        "1 moved m1 m1 tub-2 at 5,5 → north 4 cm before the afternoon of 10 Jul"
    )


def test_without_a_plan_it_says_so():
    found = PageData(Day(data().season, NOW), no_plan_yet(Path("porch")))
    text = page(found)
    assert "There is no plan yet: &#39;hangplan plan porch&#39; makes one." in text
    assert "There is no plan to move by." in text


def test_a_season_without_pupae_makes_a_page():
    from dataclasses import replace

    text = page(PageData(Day(replace(data().season, pupae=()), NOW)))
    assert "No pupa is present." in text
    assert text.count("<g class=") == 0


def with_plan(**changes):
    from dataclasses import replace

    found = data()
    return page(PageData(Day(found.season, NOW, replace(found.day.plan, **changes))))


def test_who_clashes_is_marked_on_its_tag_and_named_for_the_scripts():
    text = with_plan(clashes=(TooClose(a="m1", b="m2", gap=0.5, distance=7.0),))
    assert re.findall(r'class="i"[^>]*>([^<]+)<', text) == ["!m1", "!m1", "!m2"]
    assert json.loads(Tags(text).inside["script"][0])["clashes"] == [[0, 1, 0.5]]


def test_without_a_clash_nobody_is_marked():
    assert re.findall(r'class="i"[^>]*>([^<]+)<', page(data())) == ["m1", "m1", "m2"]


def test_spots_that_are_kept_look_otherwise_than_free_ones():
    kept = Kept(who="1 expected", place="north", spot="20", since=NOW, due=NOW.date())
    strip = re.compile(r'<article class="place line".*?</article>', re.S)
    before, after = (strip.search(text)[0] for text in (page(data()), with_plan(kept=(kept,))))
    # 14 marks from 4 to 56, one of them for m1.
    assert ('data-free="13"' in before, 'data-free="12"' in after) == (True, True)
    assert (before.count('class="kept"'), after.count('class="kept"')) == (0, 1)


def test_who_stays_for_want_of_an_order_or_a_spot_is_named():
    text = with_plan(stuck=(Stuck(pupa="m2", why="it waits for m1"),), left=("m2",))
    words = " ".join(re.sub(r"<[^>]+>", "", text).split())
    assert "Stay, though another spot was planned m2: it waits for m1" in words
    assert "Left for now on lids to be cleared: m2." in words


def test_who_is_left_on_its_lid_for_its_own_sake_is_no_alarm():
    from dataclasses import replace

    # On 5 July 08:00: m2 hangs in a J, m3 of 4 July is soft until 6 July 00:00; m4 of 3 July is firm since
    # 5 July 00:00, which is after the plan was made on 4 July.
    found = data()
    m1, m2 = found.season.pupae
    more = tuple(
        replace(m2, id=name, pupated=When.parse(day))
        for name, day in (("m3", "2027-07-04"), ("m4", "2027-07-03"))
    )
    season = replace(found.season, pupae=(m1, replace(m2, pupated=None), *more))
    plan = replace(found.day.plan, on=datetime(2027, 7, 4, 8), moves=(), left=("m1", "m2", "m3", "m4"))
    lines = re.findall(r"<p[^>]*>Left for now.*?</p>", page(PageData(Day(season, NOW, plan))))
    assert [re.sub(r"</?bdi>", "", line) for line in lines] == [
        '<p class="alarm">Left for now on lids to be cleared: m1.</p>',
        "<p>Left for now on lids to be cleared: m2 (prepupa, hanging in a J).</p>",
        "<p>Left for now on lids to be cleared: m3 (soft until the end of Mon 5 Jul).</p>",
        "<p>Left for now on lids to be cleared: m4 (soft when planned and firm now: plan again).</p>",
    ]


def test_who_waits_on_its_lid_is_named_apart_from_who_has_no_spot():
    waits = (Waits(pupa="m2", until=NOW + timedelta(days=1)),)
    text = with_plan(waits=waits, left=("m2", "m3"))
    words = " ".join(re.sub(r"<[^>]+>", "", text).split())
    assert "Left for now on lids to be cleared: m3." in words
    # Planned for this evening only: the settings name no more, so that is what is asked for again.
    assert "m2 stays on its lid for now: no spot is known yet." in words
    later = Kept(who="m2", place="north", spot="8", since=NOW + timedelta(days=1), due=NOW.date(), chance=0.9)
    text = with_plan(waits=waits, hoped=(later,), hangs=(Hang(pupa="m2", place="tub-2", spot="12,5"),))
    assert "no spot is known yet" not in text
    found = re.search(r"<h3>On later evenings</h3>.*?</ul>", text, re.DOTALL)
    assert " ".join(re.sub(r"<[^>]+>", " ", found[0]).split()) == (
        "On later evenings Plan again then: the steps are made that evening. "
        "Tue 6 Jul: m2 when its spot is free (90 % likely)."
    )


def test_a_step_says_after_which_it_comes():
    from dataclasses import replace

    first = data().day.plan.moves[0]
    second = replace(first, step=2, pupa="m2", to_spot="8", after=(1,))
    words = " ".join(re.sub(r"<[^>]+>", " ", with_plan(moves=(first, second))).split())
    assert "→ north 8 cm after step 1, before the afternoon of 10 Jul" in words


def test_beside_a_name_from_right_to_left_the_spot_keeps_its_place():
    hebrew = "מדף 2"
    places = (Line(name=hebrew, length=60, height=150, clips_every=4), Lid(name="tub-2", width=40, length=28))
    found = replace(data().season, places=places)
    step = replace(data().moves[0], to_place=hebrew, to_spot="36")
    text = page(PageData(Day(found, NOW, Plan(on=NOW, gap_days=2.0, hangs=(), moves=(step,)))))
    way = f"\u2068{hebrew}\u2069 36 cm"
    assert f'<bdi dir="ltr">{way}</bdi>' in text
    assert f'"at":{json.dumps(way)}' in text


def test_a_card_between_two_spots_is_drawn_told_and_its_sign_explained():
    found = replace(data().season, dividers=(Divider(("north", "8"), ("north", "12")),))
    with_card = page(PageData(Day(found, NOW)))
    assert with_card.count('<path class="divider"') == with_card.count('<path class="divider heart"') == 2
    assert "Card between 8 cm and 12 cm." in with_card
    assert "card between two spots" in with_card
    assert "card between two spots" not in page(data())


def test_who_stays_for_want_of_an_order_is_told_also_where_nobody_moves():
    stuck = (Stuck(pupa="m1", why="would change places with m2"),)
    plan = Plan(on=NOW, gap_days=2.0, hangs=(), stuck=stuck)
    text = page(PageData(Day(data().season, NOW, plan)))
    assert "The plan asks for no move." in text
    assert "<li><bdi>m1</bdi>: would change places with m2</li>" in text


def test_threads_lie_below_all_tags_of_their_place():
    for strip in page(data()).split('<svg class="strip"')[1:]:
        assert strip.count('class="thread"') == 1
        assert strip.index('class="thread"') < strip.index('<g class="p ')
