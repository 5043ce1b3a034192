from planner.season.direction import Names, apart

HEBREW, ARABIC = "מדף 2", "الرف"


def test_a_name_from_right_to_left_stands_between_two_marks_and_any_other_as_it_is():
    assert apart(HEBREW) == f"\u2068{HEBREW}\u2069"
    assert apart(ARABIC) == f"\u2068{ARABIC}\u2069"
    assert [apart(name) for name in ("north 2", "Größe Ñ", "蝶", "")] == ["north 2", "Größe Ñ", "蝶", ""]


def test_names_are_kept_apart_wherever_they_stand_in_a_text():
    names = Names(["north", HEBREW, ARABIC])
    text = names.apart(f"{HEBREW} 36 cm, {ARABIC} 4 cm and north 8 cm")
    assert text == f"\u2068{HEBREW}\u2069 36 cm, \u2068{ARABIC}\u2069 4 cm and north 8 cm"


def test_of_two_names_that_begin_alike_the_longer_is_kept_apart_as_a_whole():
    assert Names(["מדף", HEBREW]).apart(f"{HEBREW} 8 cm") == f"\u2068{HEBREW}\u2069 8 cm"


def test_a_name_within_a_longer_word_is_not_taken_for_the_name():
    assert Names(["מדף"]).apart("מדפים 8 cm") == "מדפים 8 cm"


def test_without_such_names_a_text_stays_as_it_is():
    assert Names(["north", "cork"]).apart("north 8 cm") == "north 8 cm"
