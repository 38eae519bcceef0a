"""Levels and words; the volts themselves are tried in tests/bus/test_electrical.py and tests/calc/."""

import math
from dataclasses import replace

import pytest

from auditor.job.model import Cable, CellRef, Job, Load
from auditor.profile.limits import Profile
from auditor.results.findings import Finding, Level
from tests.builders import SPEC, device, found, job, profile, pull

FAIL, REVIEW, NOTE = Level.FAIL, Level.REVIEW, Level.NOTE
FIX = "use a thicker conductor near the port, or move devices to another port"

# By its data sheet 5 ohm on the way out and 5 ohm back per 100 m: 10 ohm to K1.
COLD = profile(conductor_temperature="20 degC", run__reach=None)
TEN_OHM = replace(SPEC, gauge=None, area_mm2=None, ohm_per_km=50.0)
MOST_W = 24**2 / 40  # one load: P = V^2 / (4 R)


def run(
    power_w: float | None,
    min_voltage_v: float | None = None,
    cable: Cable = TEN_OHM,
    load: Load | None = None,
) -> Job:
    home = replace(pull("C1.1", "K1"), length_m=100.0)
    return job([home], [device("K1", power_w, min_voltage_v=min_voltage_v, load=load)], cable=cable)


def about_run(level: Level, measured: float, limit: float, message: str) -> Finding:
    return Finding(
        rule="voltage",
        level=level,
        subject="C1.1",
        message=message,
        where=CellRef("Pulls", 2, 1),
        measured=pytest.approx(measured),
        limit=pytest.approx(limit, rel=1e-6),
        unit="W",
    )


def about_device(level: Level, volts: float, least_v: float, words: str) -> Finding:
    return Finding(
        rule="voltage",
        level=level,
        subject="K1",
        message=f"K1 gets {words}",
        where=CellRef("Devices", 2, 1),
        measured=pytest.approx(volts),
        limit=least_v,
        unit="V",
    )


def at(power_w: float) -> float:
    """V of a constant-power load behind 10 ohm."""
    return (24 + math.sqrt(24**2 - 40 * power_w)) / 2


CASES: list[tuple[str, Job, Profile, list[Finding]]] = [
    (
        "fails: more than the cable delivers at any voltage",
        run(14.5),
        COLD,
        [
            about_run(
                FAIL,
                14.5,
                MOST_W,
                "The 14.5 W of C1.1 cannot be delivered at any voltage; its cable could deliver 14.4 W at "
                "most; " + FIX,
            )
        ],
    ),
    (
        "just below the most: delivered, and no margin left",
        run(14.39),
        COLD,
        [
            about_run(
                REVIEW,
                14.39,
                MOST_W,
                "C1.1 draws 14.4 W, 99.9 % of the 14.4 W that its cable could deliver at most; " + FIX,
            )
        ],
    ),
    (
        "above nine tenths of the most",
        run(13.0),
        COLD,
        [
            about_run(
                REVIEW,
                13,
                MOST_W,
                "C1.1 draws 13 W, 90.3 % of the 14.4 W that its cable could deliver at most; " + FIX,
            )
        ],
    ),
    ("just below nine tenths of the most nothing is said", run(12.95), COLD, []),
    (
        "fails: a device gets less than it needs",
        run(5.0, 22.0),
        COLD,
        [
            about_device(
                FAIL,
                at(5),
                22.0,
                f"21.7 V when all devices draw at once, 0.3 V below the 22 V it needs; {FIX}",
            )
        ],
    ),
    (
        "exactly what it needs: 0.4 A at 20 V",
        run(8.0, 20.0),
        COLD,
        [
            about_device(
                REVIEW,
                20,
                20.0,
                f"20 V when all devices draw at once, just the 20 V it needs; {FIX}",
            )
        ],
    ),
    (
        "more than nine tenths of the drop is used",
        run(7.5, 20.0),
        COLD,
        [
            about_device(
                REVIEW,
                at(7.5),
                20.0,
                f"20.31 V when all devices draw at once, only 0.31 V above the 20 V it needs; {FIX}",
            )
        ],
    ),
    ("passes: enough is left", run(5.0, 20.0), COLD, []),
    (
        "fails: the profile's own lowest voltage",
        run(5.0),
        profile(conductor_temperature="20 degC", device__min_voltage="22 V"),
        [
            about_device(
                FAIL,
                at(5),
                22.0,
                f"21.7 V when all devices draw at once, 0.3 V below the 22 V it needs; {FIX}",
            )
        ],
    ),
    (
        "no voltage in the job or the profile: only collapse is judged",
        run(12.0),
        COLD,
        [],
    ),
    (
        "a constant current that no voltage drives",
        run(72.0, load=Load.CONSTANT_CURRENT),
        COLD,
        [
            Finding(
                rule="voltage",
                level=FAIL,
                subject="C1.1",
                message=f"The 72 W of C1.1 cannot be delivered at any voltage; {FIX}",
                where=CellRef("Pulls", 2, 1),
                measured=72,
                limit=None,
                unit="W",
            )
        ],
    ),
    ("cannot judge: a device without a power is told by missing-value", run(None, 20.0), COLD, []),
    ("empty job", job([]), COLD, []),
]


@pytest.mark.parametrize(("what", "a_job", "limits", "findings"), CASES, ids=[row[0] for row in CASES])
def test_voltage(what: str, a_job: Job, limits: Profile, findings: list[Finding]) -> None:
    """The note on the data sheet is tried in test_voltage_electrical.py."""
    assert [f for f in found("voltage", a_job, limits) if f.level is not NOTE] == findings


def test_fails_and_passes_of_the_rules_page() -> None:
    """950 ft of 16 AWG stranded, NEC chapter 9 table 8: 4.99 ohm/kft at 75 degC, taken to 30 degC."""
    line = [pull("C1.1", "K1", 950)]
    (finding,) = found("voltage", job(line, [device("K1", 30.0)]))
    ohm = 2 * 0.95 * 4.99 * (1 + 0.00323 * (30 - 75))
    assert (finding.level, finding.measured) == (FAIL, 30.0)
    assert finding.limit == pytest.approx(24**2 / (4 * ohm), rel=1e-6)
    assert "its cable could deliver 17.8 W at most" in finding.message
    assert found("voltage", job(line, [device("K1", 5.0)])) == []


@pytest.mark.parametrize(
    ("min_voltage_v", "power_w", "level"), [(None, 1.0, NOTE), (20.0, 1.0, REVIEW), (20.0, 0.0, None)]
)
def test_cannot_judge_a_gauge_that_is_not_stated(
    min_voltage_v: float | None, power_w: float, level: Level | None
) -> None:
    """The voltages stand on an assumption: no plain pass where a device's need is known."""
    no_gauge = replace(SPEC, gauge=None, area_mm2=None, where=CellRef("Cables", 2, 1))
    rows = [pull("C1.1", "K1"), pull("C1.2", "K2"), pull("C2.1", "K3", cable="OTHER")]
    devices = [device(tag, power_w, min_voltage_v=min_voltage_v) for tag in ("K1", "K2", "K3")]
    a_job = job(rows, devices, cable=no_gauge)
    a_job = replace(a_job, cables=dict(a_job.cables) | {"OTHER": replace(SPEC, name="OTHER")})
    expected = (
        [
            Finding(
                rule="voltage",
                level=level,
                subject="CAB",
                message="The gauge of cable CAB is not stated; the voltages of C1.1, C1.2 were computed "
                "with 16 AWG. State it "
                "in the cable sheet",
                where=CellRef("Cables", 2, 1),
            )
        ]
        if level
        else []
    )
    assert found("voltage", a_job) == expected


def test_a_pass_that_stands_on_an_assumed_gauge_is_a_review() -> None:
    """20 W at 440 ft hold with 16 AWG, the profile's thinnest, and not with 0.5 mm² (R from NEC table 8 by
    area: most = V^2 / (4 R), 17.8 W x 950 ft / 440 ft x 0.5 mm² / 1.31 mm² = 14.7 W)."""
    no_gauge = replace(SPEC, gauge=None, area_mm2=None, where=CellRef("Cables", 2, 1))
    rows = [pull("C1.1", "K1", 440), pull("C1.2", "K2", 440)]
    a_job = job(rows, [device("K1", 20.0), device("K2", 5.0)], cable=no_gauge)
    review = next(finding for finding in found("voltage", a_job) if finding.level is REVIEW)
    assert (review.subject, review.where, review.measured) == ("C1.1", CellRef("Pulls", 2, 1), 20.0)
    assert review.message == (
        "The 20 W of C1.1 could be too much if cable CAB is thin, such as 0.5 mm² (20 AWG); state the "
        "gauge in the cable sheet"
    )
    assert [finding.level for finding in found("voltage", a_job)] == [REVIEW, NOTE]
    assert [finding.level for finding in found("voltage", job(rows, a_job.devices, cable=SPEC))] == []


# Energy of a capacitor, C (V1^2 - V2^2) / 2 = P t: 1,000 uF at 24 V carry 1 W for 10 ms down to 23.58 V;
# down to 23.7 V it takes 2 x 1 W x 10 ms / (24^2 - 23.7^2), and 30 W take 2 x 30 W x 10 ms / 24^2.
@pytest.mark.parametrize(
    ("power_w", "min_voltage_v", "sags_to", "says", "takes"),
    [
        (1.0, 20.0, None, None, None),
        (1.0, 23.7, 23.58, "sags to 23.58 V", "to keep 23.7 V it takes 1,397.6 µF"),
        (30.0, None, None, "runs empty", "not to run empty it takes 1,041.7 µF"),
    ],
)
def test_a_capacitor_that_sags_in_the_data_phase(
    power_w: float, min_voltage_v: float | None, sags_to: float | None, says: str | None, takes: str | None
) -> None:
    assumed = profile(hold_up={"capacitance": "1000 uF", "data_phase": "10 ms"}, review_above=1)
    a_job = job([pull("C1.1", "K1", 0.001)], [device("K1", power_w, min_voltage_v=min_voltage_v)])
    expected = Finding(
        rule="voltage",
        level=REVIEW,
        subject="K1",
        message=f"K1 {says} in the data phase with the profile's assumed 1,000 µF, {takes}; ask its maker "
        "for the hold-up "
        "capacitance",
        where=CellRef("Devices", 2, 1),
        measured=None if sags_to is None else pytest.approx(sags_to, abs=0.005),
        limit=min_voltage_v,
        unit="V",
    )
    assert found("voltage", a_job, assumed) == ([expected] if says else [])
