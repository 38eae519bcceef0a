"""What mends a run, sentence by sentence: gauges, what moves, what comes off, how low the volts still are."""

import itertools
import re
from collections.abc import Iterable
from dataclasses import replace

import pytest

from auditor.audit import judge_as_planned
from auditor.job.model import Cable, Device, Job, Load, Pull
from auditor.plans.plans import Way
from auditor.plans.remedies import remedies
from auditor.profile.limits import Profile
from tests.builders import SPEC, device, job, measured, profile, pull

OHMIC = replace(SPEC, ohm_per_km=50.0)  # out and back 0.1 ohm/m
# Of a supply of 24 V a constant P [W] over R [ohm] leaves V = 12 + sqrt(144 - P x R), and no more than 144 / R can be
# delivered.


def of_length(near: str, far: str, length_m: float | None, **more: object) -> Pull:
    return replace(pull(near, far, **more), length_m=length_m)


def ways(a_job: Job, limits: Profile) -> list[Way]:
    """What mends the first run that needs it."""
    bus = measured(a_job, limits)
    return list(next(iter(remedies(bus, judge_as_planned).values())))


def sentences(a_job: Job, limits: Profile) -> list[str]:
    return [way.sentence for way in ways(a_job, limits)]


def cold(**more: object) -> Profile:
    return profile(**{"conductor_temperature": "20 degC", "controller__supply_power": "1 kW"} | more)


# --- gauges -------------------------------------------------------------------------------------------

# NFPA 70 (NEC), chapter 9, table 8: DC resistance at 75 degC, stranded, ohm/kft: 4.99 (16 AWG), 3.14 (14 AWG), tinned
# 3.26 (14 AWG). 0.3 A over 500 ft drop 1.497, 0.942 and 0.978 V; of 24 - 22.934 V nine tenths may be used, 0.959 V.


def needing_14_awg(count: int = 1, cable: Cable = SPEC) -> Job:
    """Pulls of 500 ft together to one device."""
    ends = ["C1.1", *(f"S{n}" for n in range(1, count)), "K1"]
    rows = [
        pull(near, far, 500 / count, id=f"P{n}") for n, (near, far) in enumerate(itertools.pairwise(ends), 1)
    ]
    loads = [device("K1", 7.2, min_voltage_v=22.934, load=Load.CONSTANT_CURRENT)]
    return job(rows, loads, cable=cable, splices=ends[1:-1])


HOT = profile(conductor_temperature="75 degC")


@pytest.mark.parametrize("coated", [False, True])
def test_the_thicker_conductor_is_plain_copper_also_where_the_old_one_is_tinned(coated: bool) -> None:
    assert sentences(needing_14_awg(cable=replace(SPEC, coated=coated)), HOT)[0] == "14 AWG on P1 (500 ft)"


@pytest.mark.parametrize(
    ("count", "names"),
    [(8, "P1, P2, P3, P4, P5, P6, P7, P8"), (10, "P1, P2, P3, P4, P5, P6, P7, P8 and 2 more")],
)
def test_eight_pulls_are_named_and_the_others_counted(count: int, names: str) -> None:
    assert sentences(needing_14_awg(count), HOT)[0] == f"14 AWG on {names} (500 ft)"


def test_a_pull_whose_length_is_not_known_is_not_among_the_thicker_ones() -> None:
    """The length counts as nothing, so no conductor in its place mends anything."""
    a_job = needing_14_awg()
    rows = [replace(a_job.pulls[0], far="S1"), pull("S1", "K1", None, id="P2")]
    assert sentences(job(rows, a_job.devices, splices=["S1"]), HOT)[0] == "14 AWG on P1 (500 ft)"


@pytest.mark.parametrize(
    ("gauges", "unit", "is_metric"),
    [
        (["16 AWG"], "ft", False),
        (["16 AWG"], "m", False),
        (["1.31 mm²"], "ft", True),
        (["1.31 mm²"], "m", True),
        ([None], "ft", False),
        ([None], "m", True),
        (["16 AWG", "1.31 mm²"], "ft", True),  # a metric one is on hand
        (["16 AWG", None], "m", False),
    ],
)
def test_gauges_are_named_as_the_schedule_names_them_else_by_its_unit_of_length(
    gauges: list[str | None], unit: str, is_metric: bool
) -> None:
    a_job = needing_14_awg()
    area_mm2 = {None: None, "16 AWG": 1.31, "1.31 mm²": 1.31}
    first, *others = [
        replace(SPEC, name="CAB" if n == 0 else f"CAB{n}", gauge=gauge, area_mm2=area_mm2[gauge])
        for n, gauge in enumerate(gauges)
    ]
    cables = {cable.name: cable for cable in (first, *others)}
    said = sentences(replace(a_job, cables=cables, length_unit=unit), HOT)[0]
    assert ("mm²" in said, "AWG" in said) == (is_metric, not is_metric)


# --- how low it still is ------------------------------------------------------------------------------


def test_of_gauges_that_all_leave_a_review_the_smallest_is_named_with_its_volts_to_two_digits() -> None:
    """30 W at 950 ft: no gauge brings 23.52 of 24 V; 12 AWG is the smallest that delivers it (16 AWG could bring no
    more than 19 W), 10 AWG would too."""
    a_job = job([pull("C1.1", "K1", 950)], [device("K1", 30.0)])
    first, *_ = ways(a_job, profile(device__review_below=0.98, controller__supply_power="60 W"))
    assert first.sentence == "12 AWG on C1.1-K1 (950 ft)"
    assert re.fullmatch(r"then down to 18\.\d{1,2} V, to review", first.low)


def two_runs(second_w: float) -> tuple[list[Pull], list[Device]]:
    """K1 at 20 m and K2 30 m beyond it, together near the most that their cable can deliver."""
    rows = [of_length("C1.1", "K1", 20.0), of_length("K1", "K2", 30.0)]
    return rows, [device("K1", 38.0), device("K2", second_w)]


def test_after_a_move_the_lowest_volts_of_both_runs_are_told() -> None:
    """K2, 16 W over 5 ohm: 20 V; K1, 38 W over 2 ohm: 20.2 V."""
    rows, devices = two_runs(16.0)
    (moved,) = [way for way in ways(job(rows, devices, cable=OHMIC), cold()) if "move" in way.sentence]
    assert moved.sentence == "move K2 (16 W) to another port"
    assert moved.low == "then down to 20 V, to review"


def test_the_watts_of_what_moves_count_each_device_of_a_row() -> None:
    rows, _ = two_runs(16.0)
    devices = [device("K1", 38.0), device("K2", 8.0, quantity=2), device("K2", None)]
    told = sentences(job(rows, devices, cable=OHMIC), cold())
    assert "move K2 (16 W) to another port" in told


def test_how_low_another_run_of_the_controller_is_is_not_said_of_this_one() -> None:
    """K9, 16 W over 5 ohm, has 20 V of 24, and nobody says what it needs."""
    rows = [*needing_14_awg().pulls, of_length("C1.2", "K9", 50.0, cable="OTHER")]
    devices = [*needing_14_awg().devices, device("K9", 16.0)]
    a_job = job(rows, devices)
    a_job = replace(a_job, cables={**a_job.cables, "OTHER": replace(OHMIC, name="OTHER")})
    bus = measured(a_job, profile(conductor_temperature="75 degC", controller__supply_power="1 kW"))
    (own,) = remedies(bus, judge_as_planned).values()
    assert own[0] == Way(sentence="14 AWG on P1 (500 ft)")


# --- watts that come off ------------------------------------------------------------------------------


def less(told: Iterable[str]) -> list[str]:
    return [each for each in told if each.startswith("take ")]


@pytest.mark.parametrize(
    ("power_w", "said"),
    [
        (30.0, ["take 12.8 W off, spread over all its devices"]),
        (17.8, ["take 0.6 W off, spread over all its devices"]),
        (17.2, []),
        (172.0, ["take 154.8 W off, spread over all its devices"]),
        (174.0, []),
    ],
)
def test_so_many_watts_come_off_that_a_tenth_is_left_of_what_the_cable_can_deliver(
    power_w: float, said: list[str]
) -> None:
    """Over 7.5 ohm 19.2 W can be delivered, nine tenths are 17.28 W; of 174 W more than nine tenths would come off."""
    a_job = job([of_length("C1.1", "K1", 75.0)], [device("K1", power_w)], cable=OHMIC)
    bus = measured(a_job, cold(device__review_below=0))
    assert [
        each for own in remedies(bus, judge_as_planned).values() for each in less(w.sentence for w in own)
    ] == said


def test_a_device_whose_power_is_not_known_stays_so_when_watts_come_off() -> None:
    rows = [of_length("C1.1", "K1", 75.0), of_length("K1", "K2", 1.0)]
    devices = [device("K1", 15.0, quantity=2), device("K2", None)]
    told = less(sentences(job(rows, devices, cable=OHMIC), cold(device__review_below=0)))
    assert told == ["take 12.8 W off, spread over all its devices"]
