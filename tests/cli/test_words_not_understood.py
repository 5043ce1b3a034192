"""Words that are not understood are named, with what to type instead, and nothing is recorded or made."""

import pytest
from cli_world import call

BOTH = '"7/5" could be 7 May or 5 July: write 2027-05-07 or 2027-07-05\n'
ON = '"7/5" could be 7 May or 5 July: write --on 2027-05-07 or --on 2027-07-05\n'
YESTERDAY = '"yesterday" is not understood here: say when with --on 2027-07-03\n'
NO_FOLDER = "there is no such folder, and only the season's folder is understood in this place\n"
NEITHER = "neither a lid, a date nor a point, and no folder"


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        ("add tub-2 7/5 2,3", 2, BOTH),
        ("add tub-B 7/5 2,3", 2, BOTH),
        ("add 7/5 3", 2, BOTH),
        ("add tub-2 25/7", 2, '"25/7" is not understood: for 25 July write 2027-07-25\n'),
        ("add tub-2 45/13", 2, '"45/13" is not a date, in whatever order: write 2027-07-03\n'),
        ("add tub-2 foo 2,3", 2, f"'foo' is {NEITHER}. Understood: lid tub-2, point 2,3. Write for example: "
         "hangplan add 3 tub-2 2027-07-03\n"),
        ("mark m1 emerged 7/5", 2, ON),
        ("mark m1 7/5", 2, ON),
        ("mark m1 7/5 emerged", 1, ON),
        ("mark m1 emerged yesterday", 2, YESTERDAY),
        ("mark m1 emerged m2", 1, f"m2:0:0: {NO_FOLDER}"),
        ("mark tub-2 emerged", 1, "tub-2 is a lid: name the pupae by their ids\n"),
        ("done 7/5", 2, ON),
        ("check tub-9", 1, f"tub-9:0:0: {NO_FOLDER}"),
    ],
)  # fmt: skip
def test_a_word_that_is_not_understood_is_named(world, monkeypatch, words, code, said):
    before = world.files()
    on = [] if words.startswith("check") else ["--on", "2027-07-06"]
    with monkeypatch.context() as inside:
        inside.chdir(world.folder)
        heard = call(*words.split(), *on)
    assert (heard.code, heard.out, heard.err) == (code, "", said)
    assert world.files() == before
