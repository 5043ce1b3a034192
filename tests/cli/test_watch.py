"""``watch``, called as a teacher does."""

from io import BytesIO

import pdfplumber
from cli_world import ON, call

LATER = "2027-07-11T07:30"  # m1 is due on this day, see cli_world


def watch(*words, on=ON):
    return call("watch", *words, "--on", on)


def text_of(path):
    with pdfplumber.open(BytesIO(path.read_bytes())) as file:
        return " ".join(" ".join(page.extract_text().split()) for page in file.pages)


def test_it_needs_no_plan_and_has_a_card_for_each_who_is_present(world):
    call("mark", "m1", "emerged", "porch", "--on", LATER)
    said = watch("porch", on=LATER)
    assert (said.code, said.err) == (0, "Look, do not touch.\n")
    assert said.out == (
        "wrote porch/out/watch.pdf: hang it where the class looks\n"
        "Next: 'hangplan mark m2 emerged porch', or darkening, when it is seen\n"
    )
    text = text_of(world.folder / "out" / "watch.pdf")
    assert "m2" in text
    assert "m1 " not in text


def test_those_who_are_named_alone_are_counted(world):
    said = watch("m2", "m3", "porch", "--json", "-o", "w.pdf")
    assert said.data == {"files": ["w.pdf"], "pupae": ["m2", "m3"]}
    assert "2 pupae in all" in text_of(world.folder.parent / "w.pdf")


def test_one_that_is_gone_and_another_kind_of_file_are_refused(world):
    call("mark", "m1", "emerged", "porch", "--on", LATER)
    said = watch("m1", "porch", on=LATER)
    assert (said.code, said.err) == (1, "m1: emerged: there is nothing more to watch\n")
    assert watch("porch", "-o", "w.png").code == 2
    assert not (world.folder.parent / "w.png").exists()
