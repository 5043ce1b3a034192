"""Words that are not understood are named, with what to type instead, and nothing is recorded or made."""

import pytest
from cli_world import call

STYLE = ", or set date_style: us or eu in season.yaml\n"
BOTH = f'"7/5" could be 7 May or 5 July: write 2027-05-07 or 2027-07-05{STYLE}'
ON = f'--on: "7/5/2027" could be 7 May or 5 July: write 2027-05-07 or 2027-07-05{STYLE}'
NO_FOLDER = "there is no such folder, and only the season's folder is understood in this place\n"
NEITHER = "neither a lid, a date nor a point, and no folder"


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        ("add tub-2 7/5 2,3", 2, BOTH),
        ("add tub-B 7/5 2,3", 2, BOTH),
        ("add 7/5 3", 2, "which lid? Name it: hangplan add 3 tub-2\n"),
        ("add tub-2 45/13", 2, '"45/13" is not a date, in whatever order: write 2027-07-03\n'),
        ("add tub-2 foo 2,3", 2, f"'foo' is {NEITHER}. Understood: lid tub-2, point 2,3. Write for example: "
         "hangplan add 3 tub-2 2027-07-03\n"),
        ("add 2 J tub-2", 2,
         "'J': one that hangs in a J has no date yet. Write: hangplan add 2 tub-2 --prepupa\n"),
        ("add in J tub-2", 2,
         "'in J': one that hangs in a J has no date yet. Write: hangplan add tub-2 --prepupa\n"),
        ("mark m1 emerged 7/5/2027", 2, ON),
        ("mark m1 7/5/2027 emerged", 2, ON),
        ("mark m1 7/5/2027", 2, "'m1' is nothing that a pupa does: write one of darkening, emerged, failed, "
         "deformed, parasitised, escaped, released, removed, pupated after the pupae\n"),
        ("mark m1 emerged yesterday today", 2, "yesterday and today: give one date\n"),
        ("mark m1 emerged yesterday --on 2027-07-06", 2, "yesterday and --on 2027-07-06: give one date\n"),
        ("mark m1 emerged m2", 1, f"m2: {NO_FOLDER}"),
        ("done 7/5/2027", 2, ON),
        ("add 3 Jul 5 tub-2", 2, "'3 Jul 5' could be '3 Jul' or 'Jul 5': put the date in quotes\n"),
        ("check tub-9", 1, f"tub-9: {NO_FOLDER}"),
    ],
)  # fmt: skip
def test_a_word_that_is_not_understood_is_named(world, monkeypatch, words, code, said):
    before = world.files()
    on = ["--on", "2027-07-06"] if words.startswith("add") else []
    with monkeypatch.context() as inside:
        inside.chdir(world.folder)
        heard = call(*words.split(), *on)
    assert (heard.code, heard.out, heard.err) == (code, "", said)
    assert world.files() == before
