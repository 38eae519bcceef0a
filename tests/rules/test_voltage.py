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
COLD = profile(conductor_temperature="20 degC", run__reach=None, device__review_below=0)
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
    limits = profile(device__review_below=0)
    review = next(finding for finding in found("voltage", a_job, limits) if finding.level is REVIEW)
    assert (review.subject, review.where, review.measured) == ("C1.1", CellRef("Pulls", 2, 1), 20.0)
    assert review.message == (
        "The 20 W of C1.1 could be too much if cable CAB is thin, such as 0.5 mm² (20 AWG); state the "
        "gauge in the cable sheet"
    )
    assert [finding.level for finding in found("voltage", a_job, limits)] == [REVIEW, NOTE]
    assert found("voltage", job(rows, a_job.devices, cable=SPEC), limits) == []


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


# --- devices of which no lowest voltage is stated -----------------------------------------------------


def low(a_job: Job, share: float = 0.85) -> list[Finding]:
    limits = profile(conductor_temperature="20 degC", run__reach=None, device__review_below=share)
    return [each for each in found("voltage", a_job, limits) if each.level is not NOTE]


def test_below_the_profiles_part_of_the_supplys_voltage_a_run_is_a_review() -> None:
    """V = 12 + sqrt(144 - 10 P): 20.4 V, 85 % of 24 V, at 7.344 W."""
    assert low(run(7.34)) == []
    (review,) = low(run(7.35))
    assert (review.level, review.subject, review.limit, review.unit) == (
        REVIEW,
        "C1.1",
        pytest.approx(20.4),
        "V",
    )
    assert review.message == (
        "K1 gets 20.4 V when all devices draw at once, 85 % of the 24 V of its supply; its lowest voltage is not "
        "stated, ask the maker whether it works below 85 %"
    )
    assert low(run(7.35), share=0.8) == []


def test_a_run_has_one_review_however_many_devices_are_low() -> None:
    rows = [replace(pull("C1.1", "K1"), length_m=100.0), pull("K1", "K2", 1), pull("K1", "K3", 1)]
    a_job = job(rows, [device(tag, 2.5) for tag in ("K1", "K2", "K3")], cable=TEN_OHM)
    (review,) = low(a_job)
    assert "and 2 more get little of it; their lowest voltage is not stated" in review.message


def test_a_device_that_states_its_lowest_voltage_judges_itself_and_not_the_others() -> None:
    rows = [replace(pull("C1.1", "K1"), length_m=100.0), pull("K1", "K2", 1)]
    stated = [device("K1", 3.7, min_voltage_v=12.0), device("K2", 3.7)]
    (review,) = low(job(rows, stated, cable=TEN_OHM))
    assert (review.subject, review.message.split()[0]) == ("C1.1", "K2")
    assert low(job(rows, [replace(each, min_voltage_v=12.0) for each in stated], cable=TEN_OHM)) == []


# --- start-up -----------------------------------------------------------------------------------------


def test_start_up_power_that_the_cable_could_not_carry_for_long_is_a_review() -> None:
    """10 ohm carry V^2 / (4 R) = 14.4 W to one load."""

    def starting(start_w: float | None) -> list[Finding]:
        a_job = run(2.0)
        return low(replace(a_job, devices=(replace(a_job.devices[0], start_w=start_w),)))

    assert starting(None) == starting(14.3) == []
    (review,) = starting(20.0)
    assert (review.level, review.subject, review.unit, review.measured) == (REVIEW, "C1.1", "W", 20.0)
    assert review.limit == pytest.approx(MOST_W, rel=1e-6)
    assert "in a steady state its cable could deliver 14.4 W of that at most" in review.message
    assert "no steady load" in review.message


def test_of_a_current_that_is_too_much_alone_the_cable_delivers_nothing_at_the_start() -> None:
    """72 W at 24 V are 3 A, which 10 ohm would take 30 V for."""
    a_job = run(2.0)
    (first, *_) = a_job.devices
    (review,) = low(replace(a_job, devices=(replace(first, load=Load.CONSTANT_CURRENT, start_w=72.0),)))
    assert "in a steady state its cable could not deliver that" in review.message


def test_a_run_whose_load_cannot_be_delivered_says_nothing_of_its_start() -> None:
    a_job = run(15.0)
    starting = replace(a_job, devices=(replace(a_job.devices[0], start_w=20.0),))
    assert [each.level for each in low(starting)] == [FAIL]


def test_start_up_that_takes_a_device_below_what_it_needs_is_a_review() -> None:
    """10 ohm, 13 W: V = 12 + sqrt(144 - 130) = 15.74 V."""
    a_job = run(2.0, min_voltage_v=16.0)
    (review,) = low(replace(a_job, devices=(replace(a_job.devices[0], start_w=13.0),)))
    assert (review.level, review.subject, review.unit) == (REVIEW, "C1.1", "W")
    assert "K1 would get 15.74 V in a steady state, below the 16 V it needs" in review.message
    assert low(replace(a_job, devices=(replace(a_job.devices[0], start_w=12.0),))) == []
