"""Limits: common practice, no published source: 35 W and 100 devices at 24 V, 120 W and 120 devices at 36 V,
with 60 W a port, whichever comes first."""

from dataclasses import replace

import pytest

from auditor.job.model import CellRef, Controller, Job, Load
from auditor.profile.limits import Profile
from auditor.profile.load import load_profile
from auditor.results.findings import Finding, Level
from tests.builders import SPEC, device, found, job, profile, pull

FAIL, REVIEW, NOTE = Level.FAIL, Level.REVIEW, Level.NOTE
SHEET = CellRef("Controllers", 4, 1)
FIX = "move devices to another controller or choose a larger supply that the maker of the bus allows"
SMALL, LARGE = load_profile("two-wire-35w"), load_profile("two-wire-120w")


def about(
    level: Level,
    subject: str,
    measured: float,
    limit: float,
    message: str,
    unit: str = "W",
    where: CellRef | None = None,
) -> Finding:
    return Finding(
        rule="power",
        level=level,
        subject=subject,
        message=message,
        where=where or CellRef("Pulls", 2, 1),
        measured=pytest.approx(measured),
        limit=pytest.approx(limit),
        unit=unit,
    )


def other_supply(names: str, stated: str, where: CellRef = SHEET) -> Finding:
    message = (
        f"The supply of {names} is listed with {stated}, and the profile two-wire-35w has 24 V and 35 W; name the profile "
        "of that bus, or accept this where its maker allows such a supply"
    )
    return Finding(rule="power", level=REVIEW, subject=names[:2], message=message, where=where)


def ports(*watts: float | None, length_ft: float = 0.01, **more: object) -> Job:
    """One device on each of the ports C1.1, C1.2, …, so near that the cable loses nothing to speak of."""
    rows = [pull(f"C1.{n}", f"K{n}", length_ft) for n in range(1, len(watts) + 1)]
    return job(rows, [device(f"K{n}", power_w) for n, power_w in enumerate(watts, 1)], **more)  # type: ignore[arg-type]


CASES: list[tuple[str, Job, Profile, list[Finding]]] = [
    (
        "fails: 36 W on a 35 W supply",
        ports(36.0),
        SMALL,
        [about(FAIL, "C1", 36, 35, f"The devices on C1 draw 36 W, 1 W over the limit of 35 W; {FIX}")],
    ),
    ("passes: 31 W on a 35 W supply", ports(31.0), SMALL, []),
    (
        "32 W leave little",
        ports(20.0, 12.0),
        SMALL,
        [
            about(
                REVIEW,
                "C1",
                32,
                35,
                "The devices on C1 draw 32 W, 91.4 % of the limit of 35 W, which leaves 3 W for changes on "
                "site",
            )
        ],
    ),
    (
        "a quantity multiplies",
        job([pull("C1.1", "K1", 0.01)], [device("K1", 4.0, quantity=9)]),
        SMALL,
        [about(FAIL, "C1", 36, 35, f"The devices on C1 draw 36 W, 1 W over the limit of 35 W; {FIX}")],
    ),
    (
        "a device without a power makes it a lower bound",
        ports(36.0, None),
        SMALL,
        [
            about(
                FAIL, "C1", 36, 35, f"The devices on C1 draw at least 36 W, 1 W over the limit of 35 W; {FIX}"
            )
        ],
    ),
    (
        "a port of the large supply",
        ports(60.1),
        LARGE,
        [
            about(
                FAIL,
                "C1.1",
                60.1,
                60,
                "The devices on C1.1 draw 60.1 W, 0.1 W over the limit of 60 W; move devices to another port",
            )
        ],
    ),
    (
        "the controller sheet's own supply stands above the profile's",
        ports(
            36.0, controllers=[Controller(name="C1", supply_power_w=60.0, supply_voltage_v=24.0, where=SHEET)]
        ),
        SMALL,
        [other_supply("C1", "24 V and 60 W")],
    ),
    (
        "and can be the smaller one",
        ports(21.0, controllers=[Controller(name="C1", supply_power_w=20.0, where=SHEET)]),
        SMALL,
        [
            about(
                FAIL,
                "C1",
                21,
                20,
                f"The devices on C1 draw 21 W, 1 W over the limit of 20 W; {FIX}",
                where=SHEET,
            )
        ],
    ),
    (
        "a supply of which a fifth is to be kept free",
        ports(29.0),
        profile(controller__supply_headroom=0.2),
        [about(FAIL, "C1", 29, 28, f"The devices on C1 draw 29 W, 1 W over the limit of 28 W; {FIX}")],
    ),
    (
        "off-specification cable halves a port's power, not the supply's",
        ports(31.0, 31.0, cable=replace(SPEC, gauge="18 AWG", area_mm2=0.82)),
        LARGE,
        [
            about(
                FAIL,
                f"C1.{n}",
                31,
                30,
                f"The devices on C1.{n} draw 31 W, 1 W over the limit of 30 W (50 % of the usual, since "
                "cable CAB is off specification); move devices to another port",
                where=CellRef("Pulls", row, 1),
            )
            for n, row in ((1, 2), (2, 3))
        ],
    ),
    (
        "cannot judge: a port passes only inside specification",
        ports(40.0, cable=replace(SPEC, insulation_v=None)),
        LARGE,
        [
            about(
                REVIEW,
                "C1.1",
                40,
                30,
                "The devices on C1.1 draw 40 W, within the limit of 60 W only if cable CAB is inside "
                "specification, 30 W if not; state the cable's properties in the cable sheet",
            )
        ],
    ),
    ("empty job", job([]), SMALL, []),
    ("no supply is stated", ports(500.0, length_ft=0.001), load_profile("two-wire"), []),
]


@pytest.mark.parametrize(("what", "a_job", "limits", "findings"), CASES, ids=[row[0] for row in CASES])
def test_power(what: str, a_job: Job, limits: Profile, findings: list[Finding]) -> None:
    """Notes on the class of a supply are tried below."""
    assert [f for f in found("power", a_job, limits) if f.level is not NOTE] == findings


# Common practice, no published source. Devices, watts of each, what fails.
WHICHEVER_COMES_FIRST = [
    (SMALL, 100, 0.3499, []),  # the cable loses a little too
    (SMALL, 100, 0.36, ["power"]),
    (SMALL, 101, 0.34, ["device-count"]),
    (SMALL, 101, 0.35, ["device-count", "power"]),
    (LARGE, 120, 0.9999, []),
    (LARGE, 120, 1.01, ["power"]),
    (LARGE, 121, 0.99, ["device-count"]),
    (LARGE, 121, 1.0, ["device-count", "power"]),
]


@pytest.mark.parametrize(("limits", "count", "watts", "rules"), WHICHEVER_COMES_FIRST)
def test_watts_or_devices_of_a_controller_whichever_comes_first(
    limits: Profile, count: int, watts: float, rules: list[str]
) -> None:
    near = count // 2
    rows = [device("K1", watts, quantity=near), device("K2", watts, quantity=count - near)]
    a_job = job([pull("C1.1", "K1", 0.01), pull("C1.2", "K2", 0.01)], rows)
    failed = [
        rule
        for rule in ("device-count", "power")
        if any(f.level is FAIL and f.subject == "C1" for f in found(rule, a_job, limits))
    ]
    assert failed == rules


# IEC 62386-101: all supplies of a bus together at most 250 mA (the trade body's guidelines, secondary).
@pytest.mark.parametrize(
    ("milliamperes", "findings"),
    [
        (225, []),
        (
            250,
            [
                (
                    REVIEW,
                    0.25,
                    "The devices on C1 draw 250 mA, 100 % of the limit of 250 mA, which leaves nothing for "
                    "changes on site",
                )
            ],
        ),
        (300, [(FAIL, 0.3, f"The devices on C1 draw 300 mA, 50 mA over the limit of 250 mA; {FIX}")]),
    ],
)
def test_a_supply_that_is_rated_by_its_current(
    milliamperes: float, findings: list[tuple[Level, float, str]]
) -> None:
    rated = profile(controller__supply_power=None, controller__supply_current="250 mA")
    loads = [
        device(tag, 24 * milliamperes / 2000, load=Load.CONSTANT_CURRENT, at_voltage_v=24.0)
        for tag in ("K1", "K2")
    ]
    a_job = job([pull("C1.1", "K1", 1), pull("C1.2", "K2", 1)], loads)
    assert found("power", a_job, rated) == [
        about(level, "C1", measured, 0.25, message, unit="A") for level, measured, message in findings
    ]


def test_the_cables_loss_can_take_a_supply_past_its_rating() -> None:
    """34 W at 24 V over 100 ft: V^2 - 24 V + R P = 0 with a loop of 0.998 ohm."""
    a_job = job([pull("C1.1", "K1", 100)], [device("K1", 34.0)])
    little, with_loss = found("power", a_job, profile(conductor_temperature="75 degC"))
    assert little.level is REVIEW
    ohm = 2 * 4.99 * 0.1  # NEC chapter 9 table 8, 16 AWG stranded
    amperes = (24 - (24**2 - 4 * ohm * 34) ** 0.5) / (2 * ohm)
    assert with_loss == about(
        FAIL,
        "C1",
        24 * amperes,
        35,
        "The devices on C1 and the cable's loss together take 36.3 W from a supply of 35 W, 1.3 W over its rating; move "
        "devices to another controller or choose a larger supply that the maker of the bus allows, or use a thicker "
        "conductor",
    )


def test_sums_over_what_is_not_known_say_at_least() -> None:
    unknown = device("K2", None)
    pulls = [pull("C1.1", "K1", 100), pull("K1", "K2", 0.01)]
    messages = {
        watts: [
            f.message
            for f in found("power", job(pulls, [device("K1", watts), unknown]))
            if "loss" in f.message
        ]
        for watts in (30.0, 34.5)
    }
    assert "together take at least 3" in messages[30.0][0]
    assert "times what is drawn, at least 3" in messages[30.0][0]
    assert "together take at least 3" in messages[34.5][0]

    missing = [pull("C1.1", "K1", 100), pull("K1", "K2", None)]
    rows = [device("K1", 30.0), device("K2", 0.1)]
    assert any("together take at least 3" in f.message for f in found("power", job(missing, rows)))

    starting = job(pulls, [device("K1", 5.0, start_w=36.0), unknown])
    assert any(
        "start together they and the cable take at least " in f.message for f in found("power", starting)
    )


@pytest.mark.parametrize(
    ("start_w", "said"), [(15.7, 0), (15.8, 31.6), (17.4, 34.8), (17.6, 35.2), (None, 0)]
)
def test_what_all_devices_take_when_they_start_together(start_w: float | None, said: float) -> None:
    """A review from 90 per cent of what the supply gives."""
    a_job = job([pull("C1.1", "K1", 0.01)], [device("K1", 5.0, quantity=2, start_w=start_w)])
    told = [(each.level, each.subject, each.limit, each.message) for each in found("power", a_job)]
    message = (
        f"When all devices on C1 start together they and the cable take {said:g} W for a moment, and the supply gives 35 W; "
        "ask the maker whether it starts such a load"
    )
    assert told == ([(REVIEW, "C1", 35.0, message)] if said else [])


@pytest.mark.parametrize(("power_w", "said"), [(100.0, False), (101.0, True)])
def test_a_supply_above_class_2_is_a_note_that_leaves_the_class_to_code_and_nameplate(
    power_w: float, said: bool
) -> None:
    """NEC chapter 9 table 11(B), over 20 to 30 V: 100 VA (from memory; table 11(A) prints the same)."""
    sheet = Controller(name="C1", supply_power_w=power_w, where=SHEET)
    limits = profile(controller__supply_power="101 W")
    findings = found("power", job([pull("C1.1", "K1")], controllers=[sheet]), limits)
    assert [(f.level, f.measured, f.limit, f.where) for f in findings] == (
        [(NOTE, 101.0, 100.0, SHEET)] if said else []
    )
    for finding in findings:
        assert finding.message.startswith(
            "The supply of C1 gives 101 W at 24 V; a Class 2 supply has 100 VA at most (NFPA 70 (NEC) "
            "chapter 9 table 11(B): from memory"
        )
        assert finding.message.endswith("is for its nameplate, the local code and a licensed practitioner")


@pytest.mark.parametrize(
    ("volts", "limits_v"), [(24.0, []), (28.0, [24.8]), (30.0, [24.8]), (36.0, [30.0, 24.8])]
)
def test_a_voltage_above_the_limits_of_wet_contact_is_a_note(volts: float, limits_v: list[float]) -> None:
    """30 V of continuous dc (a pocket guide to the code of 2005), 24.8 V peak of interrupted dc (from memory)."""
    sheet = Controller(name="C1", supply_voltage_v=volts, where=SHEET)
    findings = [f for f in found("power", job([pull("C1.1", "K1")], controllers=[sheet])) if f.unit == "V"]
    assert [(f.level, f.measured, f.limit, f.where) for f in findings] == (
        [(NOTE, volts, limits_v[0], SHEET)] if limits_v else []
    )
    for finding in findings:
        assert (
            "24.8 V peak of dc that is interrupted at 10 to 200 Hz (the same notes, from memory)"
            in finding.message
        )
        assert ("30 V of continuous dc" in finding.message) == (30.0 in limits_v)
        assert finding.message.endswith("is for its nameplate, the local code and a licensed practitioner")


@pytest.mark.parametrize(("length_ft", "level"), [(1, NOTE), (60, REVIEW)])
def test_a_supply_nearly_used_up_with_the_cables_loss_is_a_review(length_ft: float, level: Level) -> None:
    """31.2 W of 35 W, and 0.9 W lost over 60 ft: 32.1 W, more than nine tenths of 35 W."""
    a_job = job([pull("C1.1", "K1", length_ft)], [device("K1", 31.2)])
    (finding,) = [each for each in found("power", a_job) if each.unit == "W"]
    assert finding.level is level
    if level is REVIEW:
        assert finding.message.startswith("The devices on C1 and the cable's loss together take 32.1 W, ")
        assert "% of the limit of 35 W, which leaves 2.9 W" in finding.message


def test_of_a_run_that_cannot_be_delivered_no_loss_is_told() -> None:
    a_job = job([pull("C1.1", "K1", 950)], [device("K1", 30.0)])
    assert found("power", a_job) == []


@pytest.mark.parametrize("load", [Load.RESISTIVE, Load.CONSTANT_CURRENT])
def test_watts_that_follow_the_voltage_are_those_of_the_list(load: Load) -> None:
    a_job = job([pull("C1.1", "K1", 0.01)], [device("K1", 36.0, load=load, at_voltage_v=24.0)])
    first = found("power", a_job, SMALL)[0]
    assert first == about(
        FAIL, "C1", 36, 35, f"The devices on C1 are listed with 36 W, 1 W over the limit of 35 W; {FIX}"
    )


@pytest.mark.parametrize(
    ("volts", "watts", "stated"),
    [
        (24.0, 35.0, None),
        (None, None, None),
        (24.0, 20.0, None),
        (25.0, None, None),
        (36.0, None, "36 V"),
        (None, 36.0, "24 V and 36 W"),
        (36.0, 120.0, "36 V and 120 W"),
    ],
)
def test_a_supply_that_the_profile_does_not_have_is_a_review(
    volts: float | None, watts: float | None, stated: str | None
) -> None:
    sheet = Controller(name="C1", supply_voltage_v=volts, supply_power_w=watts, where=SHEET)
    idle = Controller(name="C9", supply_voltage_v=48.0, where=SHEET)
    told = found("power", ports(1.0, controllers=[sheet, idle]), SMALL)
    assert [each for each in told if each.level is REVIEW] == ([other_supply("C1", stated)] if stated else [])


def test_several_other_supplies_are_one_review() -> None:
    sheets = [Controller(name=name, supply_power_w=60.0, where=SHEET) for name in ("C1", "C2")]
    rows = [pull("C1.1", "K1"), pull("C2.1", "K2")]
    told = [each for each in found("power", job(rows, controllers=sheets), SMALL) if each.level is REVIEW]
    assert told == [other_supply("C1, C2", "24 V and 60 W")]
