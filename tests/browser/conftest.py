import pytest
from chromium import chromium, missing
from page_world import WORLDS

from planner.report.page.document import page as page_text

PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}
DESKTOP = {"viewport": {"width": 1440, "height": 900}}
MADE = "2027-07-05T08:00:00"  # what the phone's clock says; the worlds of the examples are older or newer


@pytest.fixture(scope="session")
def browser():
    if why := missing():
        pytest.skip(why)
    with chromium() as found:
        yield found


@pytest.fixture(scope="session")
def file_of(tmp_path_factory):
    """A world's page as a file on this machine, made once."""
    folder, made = tmp_path_factory.mktemp("pages"), {}

    def file(name, data=None):
        if name not in made:
            data = data or WORLDS[name]()
            made[name] = (folder / f"{name}.html", data)
            made[name][0].write_text(page_text(data), encoding="utf-8")
        return made[name]

    return file


def go(tab, part):
    """Go to a part of the page, quicker than with a thumb; that it can be tapped is a test of its own."""
    tab.evaluate("part => document.querySelector(`button[data-part=${part}]`).click()", part)


def load(tab, file=None):
    """Load the page anew, or another in its place, with what it has kept.

    On a busy machine Chromium now and then hands a file that follows another within a second nothing of what
    the first has kept, or loses its last word. That is put back: tested is what the page makes of it.
    """
    entries = "() => Object.entries(localStorage).sort()"
    kept = tab.evaluate(entries)
    tab.goto(file.as_uri()) if file else tab.reload()
    for _ in range(40):
        if tab.evaluate(entries) == kept:
            return
        tab.wait_for_timeout(500)
        tab.evaluate("all => { for (const [key, value] of all) localStorage.setItem(key, value) }", kept)
        tab.reload()
    assert tab.evaluate(entries) == kept


def new_tab(browser, wrong, window, own=("file:", "blob:"), **more):
    """A tab that notes what goes wrong in it, or goes out."""
    tab = browser.new_context(**window, **more).new_page()
    tab.on("pageerror", lambda e: wrong.append(str(e)))
    tab.on("console", lambda m: wrong.append(m.text) if m.type in ("error", "warning") else None)
    tab.on("request", lambda r: None if r.url.startswith(own) else wrong.append(r.url))
    tab.set_default_timeout(20_000)
    return tab


@pytest.fixture(scope="session")
def kept_tabs():
    """A tab for each size of window, loaded anew by each test: to make one takes longer than most tests."""
    return {}, []


@pytest.fixture
def opened(browser, kept_tabs, file_of):
    """Open a world's page; what goes wrong in it, or goes out, fails the test.

    What a test asks for beyond the window's size, and every further page, has a tab of its own. A tab
    whose page has kept something is given up: a browser may put that down only while the next test runs.
    """
    tabs, wrong = kept_tabs
    wrong.clear()
    own, used = [], []

    def open_page(name, window=PHONE, data=None, clock=None, before=None, **more):
        file, made = file_of(name, data)
        if before or more or used:
            tab = new_tab(browser, wrong, window, **more)
            own.append(tab)
        else:
            tab = tabs.get(id(window)) or tabs.setdefault(id(window), new_tab(browser, wrong, window))
            used.append((window, tab))
        tab.clock.set_fixed_time(clock or made.day.now)
        if before:
            tab.add_init_script(before)
        tab.goto(file.as_uri())
        return tab

    yield open_page
    for window, tab in used:
        if tab.evaluate("localStorage.length"):
            own.append(tabs.pop(id(window)))
    for tab in own:
        tab.context.close()
    assert wrong == []
