from pathlib import Path

import pytest

from planner.emergence import faults, known_species, profile_of, shipped, warnings
from planner.emergence.profiles import STATUSES, VALUES, Basis, Profile
from planner.season.pupae import Pupa
from planner.season.season import Season, SpeciesEntry


def _season(pupae=(), species="monarch", **profiles):
    return Season(folder=Path(), name="test", species=species, profiles=profiles, pupae=pupae)


def test_five_species_are_shipped():
    assert known_species() == (
        "cabbage-white", "indian-fritillary", "large-white", "monarch", "painted-lady",
    )  # fmt: skip


@pytest.mark.parametrize("name", known_species())
def test_every_shipped_value_says_where_it_comes_from_and_how_well_it_is_known(name):
    profile = shipped()[name]
    assert set(profile.basis) == set(VALUES)
    for basis in profile.basis.values():
        assert basis.source
        assert basis.status in STATUSES


def test_the_monarch_is_as_its_file_says():
    assert shipped()["monarch"] == Profile(
        key="monarch", name="monarch", latin="Danaus plexippus", word="chrysalis", lower=11.5, upper=33,
        requirement=126, spread=0.08, season_share=0.33, day_share=0.33, emerges_from=6, emerges_until=12,
        firm_after=24, darkens_before=24, darkens_spread=8, wing_drying=3, wing_reach=10,
    )  # fmt: skip


def test_what_the_keeper_states_goes_over_the_shipped_profile_and_is_marked_as_the_keepers():
    season = _season(monarch=SpeciesEntry(requirement=122, firm_after=48, word="pupa"))
    profile = profile_of(season, "monarch")
    assert (profile.requirement, profile.firm_after, profile.word) == (122, 48, "pupa")
    assert (profile.lower, profile.upper) == (11.5, 33)
    assert profile.basis["requirement"] == Basis("season.yaml", "keeper")
    assert profile.basis["lower"].status == "memory"


def test_a_species_of_the_keepers_own_needs_a_threshold_and_a_requirement_and_gets_defaults():
    profile = profile_of(_season(moth=SpeciesEntry(lower=9.6, requirement=263.4)), "moth")
    assert profile == Profile(
        key="moth", name="moth", latin="", word="pupa", lower=9.6, upper=33, requirement=263.4, spread=0.1,
        firm_after=24, darkens_before=24, wing_drying=3, wing_reach=10,
    )  # fmt: skip
    assert profile.basis["lower"].status == "keeper"
    assert profile.basis["firm_after"].status == "common practice"
    assert profile.basis["spread"].status == "guess"


@pytest.mark.parametrize(
    ("values", "message"),
    [
        (
            {"season_share": 0.6, "day_share": 0.4},
            "profiles.x.day_share: 0.4 of the spread is not allowed: "
            "season_share and day_share 0 to 0.99 together",
        ),
        (
            {"emerges_from": 6, "emerges_until": 6},
            "profiles.x.emerges_until: 6 h is not allowed: above emerges_from (6 h), up to 24 h",
        ),
        ({"darkens_spread": 0}, "profiles.x.darkens_spread: 0 h is not allowed: 1 to 240 h"),
    ],
)
def test_shares_and_hours_that_make_no_sense_are_refused(values, message):
    with pytest.raises(ValueError, match=r"^profiles\.x") as refusal:
        Profile(key="x", name="x", lower=10, requirement=100, **values)
    assert str(refusal.value) == message


@pytest.mark.parametrize(
    ("entry", "message"),
    [
        (
            SpeciesEntry(spread=0.1),
            "profiles.x: lower and requirement must be given (°C; degree-days above lower)",
        ),
        (SpeciesEntry(lower=10), "profiles.x: requirement must be given (°C; degree-days above lower)"),
        (
            SpeciesEntry(lower=40, requirement=100),
            "profiles.x.lower: 40 °C is not allowed: -20 to 30 °C (thresholds known lie between 3.9 and 16)",
        ),
        (
            SpeciesEntry(lower=10, upper=10, requirement=100),
            "profiles.x.upper: 10 °C is not allowed: above lower (10 °C), up to 60 °C",
        ),
        (
            SpeciesEntry(lower=10, requirement=0),
            "profiles.x.requirement: 0 degree-days is not allowed: above 0, up to 5000 degree-days",
        ),
        (
            SpeciesEntry(lower=10, requirement=100, spread=0.6),
            "profiles.x.spread: 0.6 of the duration is not allowed: above 0, up to 0.5",
        ),
        (
            SpeciesEntry(lower=10, requirement=100, firm_after=-1),
            "profiles.x.firm_after: -1 h is not allowed: 0 to 240 h",
        ),
        (
            SpeciesEntry(lower=10, requirement=100, emerges_from=13),  # the other hour is the default's
            "profiles.x.emerges_from: 13 h is not allowed: 0 h to below emerges_until (12 h)",
        ),
        (
            SpeciesEntry(lower=10, requirement=100, emerges_until=5),
            "profiles.x.emerges_until: 5 h is not allowed: above emerges_from (6 h), up to 24 h",
        ),
        (
            SpeciesEntry(lower=10, requirement=float("nan")),
            "profiles.x.requirement: nan degree-days is not allowed: above 0, up to 5000 degree-days",
        ),
    ],
)
def test_a_profile_that_makes_no_sense_is_refused(entry, message):
    season = _season(x=entry)
    with pytest.raises(ValueError, match=r"^profiles\.x") as refusal:
        profile_of(season, "x")
    assert str(refusal.value) == message
    assert [str(fault) for fault in faults(season)] == [f"season.yaml: {message}"]


def test_a_pupa_of_an_unknown_species_is_a_fault_in_its_row():
    pupa = Pupa(id="p7", species="dragon", pupated=None, place="lid", line=8)
    assert list(map(str, faults(_season(pupae=(pupa,))))) == [
        "pupae.csv:8:0: p7: species 'dragon' is not known: write one of cabbage-white, indian-fritillary, "
        "large-white, monarch, painted-lady, or give its lower and requirement under profiles: in season.yaml"
    ]


def test_a_sound_season_has_neither_faults_nor_warnings():
    assert faults(_season()) == ()
    assert warnings(_season(monarch=SpeciesEntry(lower=11, requirement=130))) == ()


def test_an_unusual_threshold_is_a_warning_and_no_fault():
    # 131 sets of Lepidoptera lie between 3.9 and 16.0 °C (Miller 2011).
    season = _season(
        moth=SpeciesEntry(lower=3.8, requirement=200), wasp=SpeciesEntry(lower=16.1, requirement=9)
    )
    assert faults(season) == ()
    assert warnings(season) == (
        "profiles.moth.lower: 3.8 °C is unusual: known butterflies and moths have 3.9 to 16 °C",
        "profiles.wasp.lower: 16.1 °C is unusual: known butterflies and moths have 3.9 to 16 °C",
    )


def test_a_threshold_changed_without_its_requirement_is_a_warning():
    assert warnings(_season(monarch=SpeciesEntry(lower=10))) == (
        "profiles.monarch.lower: 10 °C without a requirement: the two belong together, "
        "126 degree-days were counted above 11.5 °C",
    )


# What a later status rests on is known no better than the ones before it.
KNOWN = ("read", "computed", "common practice", "second-hand", "memory", "guess")


@pytest.mark.parametrize("name", known_species())
def test_nothing_is_known_better_than_what_it_rests_on(name):
    basis = shipped()[name].basis
    # A requirement is counted above its threshold.
    assert KNOWN.index(basis["requirement"].status) >= KNOWN.index(basis["lower"].status)
    # Whoever's figure is from memory in one value is from memory in all that name it.
    from_memory = {"Zalucki"} if basis["lower"].source.startswith("Zalucki") else set[str]()
    for value, found in basis.items():
        if any(who in found.source for who in from_memory) or "guessed" in found.source:
            assert found.status in ("memory", "guess"), value
    # Shares are parts of the spread.
    for share in ("season_share", "day_share"):
        assert KNOWN.index(basis[share].status) >= KNOWN.index(basis["spread"].status)
