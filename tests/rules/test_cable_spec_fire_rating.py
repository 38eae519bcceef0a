"""The fire rating of cable: what a space asks for is for the local code."""

from dataclasses import replace

from auditor.results.findings import Level
from tests.builders import SPEC, found, measured, profile
from tests.rules.test_cable_spec import used


def marked(fire_rating: str | None, *wanted: str) -> list[tuple[Level, str]]:
    limits = profile(cable__fire_ratings=list(wanted))
    a_job = used(replace(SPEC, fire_rating=fire_rating))
    return [(each.level, each.message) for each in found("cable-spec", a_job, limits)]


def test_a_fire_rating_that_is_not_stated_is_one_note() -> None:
    note = (
        "No fire rating, such as riser or plenum, is stated for cable CAB; which one each space asks for is for the local "
        "code and a licensed practitioner, check it before cable is ordered"
    )
    assert marked(None) == marked(None, "riser") == [(Level.NOTE, note)]
    assert marked("riser") == []


def test_another_fire_rating_than_the_profile_asks_for_is_a_review_and_cuts_no_limit() -> None:
    assert marked("Plenum", "riser", "plenum") == []
    ((level, message),) = marked("general purpose", "riser", "plenum")
    assert level is Level.REVIEW
    assert message == (
        "Cable CAB is marked general purpose, and riser or plenum is asked for; order cable of that fire rating: no shorter "
        "run mends that"
    )
    seen = measured(used(replace(SPEC, fire_rating="none")), profile(cable__fire_ratings=["riser"]))
    assert [state.derated for state in seen.runs] == [False]
