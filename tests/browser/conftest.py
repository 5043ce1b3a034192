import pytest
from chromium import chromium, missing
from page_world import WORLDS

from planner.report.page import page as page_text

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


@pytest.fixture
def opened(browser, file_of):
    """Open a world's page in a window of its own; what goes wrong in it, or goes out, fails the test."""
    contexts, wrong = [], []

    def open_page(name, window=None, data=None, clock=None, before=None, **more):
        file, made = file_of(name, data)
        context = browser.new_context(**(window or PHONE), **more)
        contexts.append(context)
        tab = context.new_page()
        tab.on("pageerror", lambda e: wrong.append(str(e)))
        tab.on("console", lambda m: wrong.append(m.text) if m.type in ("error", "warning") else None)
        tab.on("request", lambda r: None if r.url.startswith("file:") else wrong.append(r.url))
        tab.set_default_timeout(5000)
        tab.clock.set_fixed_time(clock or made.day.now)
        if before:
            tab.add_init_script(before)
        tab.goto(file.as_uri())
        return tab

    yield open_page
    for context in contexts:
        context.close()
    assert wrong == []
