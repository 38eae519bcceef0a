"""Published worked figures of open standards, through the sample jobs and the shipped profiles.

All sources are secondary: texts that restate the standards. Each stands beside its figure.
"""

from dataclasses import replace
from pathlib import Path

import pytest

from auditor.audit import audit
from auditor.bus.measure import RunState, measure
from auditor.intake import read_job
from auditor.job.model import Job
from auditor.profile.load import load_profile
from auditor.results.audit_result import Audit
from auditor.results.findings import Level
from tests.builders import reaudit

FOLDER = Path(__file__).parent.parent / "sample_workbooks" / "open_standards"
JOBS = {
    "iso-iec-14543-3": "aldersund_offices",
    "iec-62386": "mirrowby_gallery",
    "iso-iec-14908-2": "tarnbeck_waterworks",
    "en-13757-2": "ostrel_court",
}
COLD = {"conductor_temperature": "20 degC"}  # the published figures are for the resistance at 20 degC


def sample(profile_name: str) -> Job:
    path = FOLDER / f"{JOBS[profile_name]}.xlsx"
    job = read_job(path.read_bytes(), path.name)
    assert job.profile_name == profile_name  # the workbook names its profile itself
    return job


def runs(profile_name: str, job: Job | None = None, **overrides: object) -> dict[str, RunState]:
    limits = load_profile(profile_name, {key.replace("__", "."): value for key, value in overrides.items()})
    return {state.run.name: state for state in measure(job or sample(profile_name), limits).runs}


def longer(job: Job, pull_id: str, more_m: float) -> Job:
    """The job with one pull that is longer than scheduled."""
    pulls = [
        replace(pull, length_m=(pull.length_m or 0) + more_m) if pull.id == pull_id else pull
        for pull in job.pulls
    ]
    return replace(job, pulls=tuple(pulls))


def fails(result: Audit, run: str) -> set[str]:
    """Rules that fail about a run as a whole."""
    return {f.rule for f in result.findings if f.level is Level.FAIL and f.subject == run}


def test_each_profile_has_a_sample_job() -> None:
    assert sorted(path.stem for path in FOLDER.glob("*.xlsx")) == sorted(JOBS.values())
    for name in JOBS:
        assert sample(name).length_unit == "m"


# --- IEC 62386 ----------------------------------------------------------------------------------------


def test_300_m_at_250_ma_as_the_manual_prints_it() -> None:
    """Manual on the line (08-2013, p. 60): 300 m, 1.5 mm2, 0.25 A, 56 m/(ohm mm2): 1.786 V, 0.214 V left."""
    state = runs("iec-62386", **COLD)["E1.1"]
    drop_v = 16 - state.electrical.flow.voltages_v["G1"]
    assert state.electrical.current_a == pytest.approx(0.25)
    assert drop_v == pytest.approx(1.786, abs=0.0005)
    assert state.electrical.flow.voltages_v["G1"] - state.electrical.least_v["G1"] == pytest.approx(
        0.214, abs=0.0005
    )


def test_the_profiles_own_temperature_gives_the_same_drop_for_plain_copper() -> None:
    """56 m/(ohm mm2) is copper of IEC 60028 (58 at 20 degC) at 29 degC; the profile counts with 30."""
    job = sample("iec-62386")
    plain = replace(job.cables["L15"], ohm_per_km=1000 / (58 * 1.5))
    state = runs("iec-62386", replace(job, cables={**job.cables, "L15": plain}))["E1.1"]
    assert 16 - state.electrical.flow.voltages_v["G1"] == pytest.approx(1.786, rel=0.005)


def test_a_star_of_100_m_legs_is_200_m_between_any_two() -> None:
    """The trade body's technical note on cable length; all its cable together may be more than 300 m."""
    state = runs("iec-62386")["E2.1"]
    assert state.between_devices is not None
    assert state.between_devices[0] == pytest.approx(200)
    longer_star = longer(
        longer(sample("iec-62386"), "2", 50), "3", 51
    )  # 301 m between two ends, 401 m in all
    result = reaudit(longer_star, load_profile("iec-62386"))
    assert fails(reaudit(sample("iec-62386"), load_profile("iec-62386")), "E2.1") == set()
    assert fails(result, "E2.1") == {"reach"}


def test_more_current_than_the_line_may_have() -> None:
    job = sample("iec-62386")
    one_more = [replace(d, quantity=d.quantity + 1) if d.tag == "G1" else d for d in job.devices]
    result = reaudit(replace(job, devices=tuple(one_more)), load_profile("iec-62386"))
    assert fails(result, "E1") == {"power"}


# --- ISO/IEC 14543-3 ----------------------------------------------------------------------------------


def test_350_m_of_the_usual_pair_are_24_ohm_of_loop() -> None:
    """0.8 mm conductors, 34.3 ohm/km each at 20 degC: 350 m make 24.0 ohm (computed)."""
    state = runs("iso-iec-14543-3", device__load="constant-current", **COLD)["L1.1"]
    drop_v = 29 - state.electrical.flow.voltages_v["A1"]
    assert drop_v / (state.electrical.current_a or 0) == pytest.approx(24.0, abs=0.05)


@pytest.mark.parametrize(
    ("pull_id", "subject"),
    [("1", "A1"), ("10", "D2"), ("12", "D4")],  # 350 m, 345 m and 360 m from the supply, before
)
def test_no_device_is_farther_than_350_m_from_the_supply(pull_id: str, subject: str) -> None:
    result = reaudit(longer(sample("iso-iec-14543-3"), pull_id, 5.1), load_profile("iso-iec-14543-3"))
    assert "reach" in fails(result, subject)


def test_the_lines_limits_are_kept_exactly_and_broken_by_a_metre() -> None:
    """1,000 m in all, 700 m between two devices (three agreeing training texts)."""
    limits = load_profile("iso-iec-14543-3")
    at_limits = longer(longer(sample("iso-iec-14543-3"), "13", -10), "12", -10)  # 990 m in all, 695 m apart
    for_total, for_distance = longer(at_limits, "13", 10), longer(at_limits, "10", 5)
    assert fails(reaudit(for_total, limits), "L3.1") == set()
    assert fails(reaudit(longer(for_total, "13", 1), limits), "L3.1") == {"run-length"}
    assert fails(reaudit(for_distance, limits), "L3.1") == set()
    assert fails(reaudit(longer(for_distance, "10", 1), limits), "L3.1") == {"reach"}


# --- EN 13757-2 ---------------------------------------------------------------------------------------


def test_250_unit_loads_at_the_end_of_350_m() -> None:
    """73 ohm/km of loop, 120 nF/km (an encyclopedia); 250 unit loads of 1.5 mA; nowhere less than 12 V in the
    space state of 24 V (a manual that quotes the user group's document)."""
    state = runs("en-13757-2", **COLD)["M1.1"]
    assert state.electrical.current_a == pytest.approx(0.375)
    assert state.electrical.flow.voltages_v["N1"] == pytest.approx(24 - 0.375 * 0.350 * 73)
    assert state.capacitance_nf == pytest.approx(0.350 * 120)
    assert state.electrical.comfortable(1.0)


def test_29_ohm_of_cable_leave_the_space_state_above_12_v() -> None:
    """The published limit of 29 ohm goes with 350 m: at 375 mA it takes 10.9 V of 24."""
    job = sample("en-13757-2")
    at_limit = replace(job.cables["MP08"], ohm_per_km=29 / (2 * 0.350))
    state = runs("en-13757-2", replace(job, cables={**job.cables, "MP08": at_limit}), **COLD)["M1.1"]
    ((_, _, ohm),) = state.electrical.net.links
    assert ohm == pytest.approx(29)
    assert state.electrical.flow.voltages_v["N1"] == pytest.approx(13.125)


def test_1500_m_of_the_usual_pair_are_180_nf() -> None:
    """120 nF/km, 180 nF in all: 1,500 m, more than the 1,000 m that a segment may have."""
    limits = load_profile("en-13757-2", {"run.cable": None})
    job = sample("en-13757-2")
    usual = replace(job.cables["HC08"], capacitance_nf_per_m=0.120)
    job = replace(job, cables={**job.cables, "HC08": usual})
    as_long = longer(job, "5", 550)  # 950 m before
    assert runs("en-13757-2", as_long)["M3.1"].capacitance_nf == pytest.approx(180)
    assert fails(reaudit(as_long, limits), "M3.1") == set()
    assert fails(reaudit(longer(job, "5", 551), limits), "M3.1") == {"capacitance"}


# --- ISO/IEC 14908-2 ----------------------------------------------------------------------------------

# A transceiver guide and a chip data book: cable, greatest distance between nodes [m], greatest total [m].
# Of the two types of 16 AWG the one with the lower distance.
PRINTED = [
    ("S1.1", "TP24", 250, 450),
    ("S2.1", "TP22", 400, 500),
    ("S3.1", "TP08", 320, 500),
    ("S4.1", "TP16", 400, 500),
]
LAST_PULL = {"S1.1": "3", "S2.1": "7", "S3.1": "11", "S4.1": "14"}  # to one of the two nodes farthest apart


@pytest.mark.parametrize(("run", "cable", "between_m", "total_m"), PRINTED)
def test_each_cable_of_the_table_at_its_limits_and_a_metre_beyond(
    run: str, cable: str, between_m: float, total_m: float
) -> None:
    job, limits = sample("iso-iec-14908-2"), load_profile("iso-iec-14908-2")
    state = runs("iso-iec-14908-2")[run]
    assert {pull.cable for pull in state.run.pulls} == {cable}
    assert state.run.cable_m == pytest.approx(total_m)
    assert state.between_devices is not None
    assert state.between_devices[0] == pytest.approx(between_m)
    assert fails(reaudit(job, limits), run) == set()
    assert fails(reaudit(longer(job, LAST_PULL[run], 1), limits), run) == {"reach", "run-length"}


def test_a_ring_is_allowed_and_its_longest_way_counts() -> None:
    """«If multiple paths exist, e.g. a loop topology, the longest path should be used»: transceiver guide."""
    result = reaudit(sample("iso-iec-14908-2"), load_profile("iso-iec-14908-2"))
    assert not [finding for finding in result.findings if finding.rule == "loop"]
    assert fails(result, "S5.1") == set()
    assert fails(result, "S6.1") == {"reach"}
    state = runs("iso-iec-14908-2")["S6.1"]
    assert state.between_devices is not None
    assert state.between_devices[0] == pytest.approx(10 + 3 * 108)  # the port is a node too


def test_nodes_with_a_supply_of_their_own_ask_for_no_power() -> None:
    result = reaudit(sample("iso-iec-14908-2"), load_profile("iso-iec-14908-2"))
    assert not [f for f in result.findings if f.rule in ("missing-value", "power", "voltage")]
    assert {run.power_w for run in result.runs} == {0}


def test_what_a_profile_says_of_its_bus_reaches_findings_and_cautions() -> None:
    limits = load_profile("iec-62386")
    assert limits.note
    result = audit(sample("iec-62386"), limits)
    (note,) = [each for each in result.findings if each.rule == "profile"]
    assert (note.level, note.message) == (
        Level.NOTE,
        f"Of the profile {limits.name}: {limits.note.rstrip('.')}",
    )
