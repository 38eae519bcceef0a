"""What mends a run: each suggestion applied to the job's rows and audited again; small cases by hand."""

import random
from collections import Counter
from dataclasses import replace

import pytest

from auditor.audit import audit, judge_as_planned
from auditor.bus.measure import Bus, measure
from auditor.job.model import Cable, Controller, Job, Load
from auditor.plans.plans import Plans
from auditor.plans.remedies import Remedy, remedies, run_remedies
from auditor.profile.limits import Profile
from auditor.results.findings import Finding, Level
from auditor.rules.voltage import FIX, check, further_remedies
from tests.builders import SPEC, device, job, profile, pull, reaudit

THIN = replace(SPEC, name="THIN", area_mm2=0.823, gauge="18 AWG")
KINDS = {"AWG": "thicker", "move": "moved", "take": "lighter", "lift": "fed again"}


def about_voltage(findings: tuple[Finding, ...], names: set[str]) -> list[Finding]:
    """All but that devices, of which no lowest voltage is stated, get little of their supply's: it asks the maker."""
    own = [f for f in findings if f.rule == "voltage" and f.level is not Level.NOTE and f.subject in names]
    return [
        f for f in own if "its lowest voltage is not" not in f.message and "their lowest" not in f.message
    ]


def ways(seen: Bus) -> list[tuple[set[str], Remedy]]:
    found = []
    for state in seen.runs:
        if not state.electrical.comfortable(seen.profile.review_above):
            names = {state.run.name, *(item.tag for item in state.run.devices)}
            found += [(names, remedy) for remedy in run_remedies(seen, state, judge_as_planned)]
    return found


def kind(remedy: Remedy) -> str:
    return next(name for word, name in KINDS.items() if word in remedy.way.sentence)


# --- the property -------------------------------------------------------------------------------------


def random_job(chance: random.Random) -> tuple[Job, Profile]:
    """A tree with one or two ports and sometimes a loop; loads of all kinds, lowest voltages for some."""
    count = chance.randint(2, 9)
    tags = [f"K{n}" for n in range(1, count + 1)]
    rows = [pull("C1.1", tags[0], chance.uniform(20, 300))]
    rows += [pull(chance.choice(tags[:n]), tags[n], chance.uniform(5, 200)) for n in range(1, count)]
    if chance.random() < 0.2:
        rows.append(pull(tags[0], tags[-1], chance.uniform(50, 200), id="loop"))
    if chance.random() < 0.3:
        rows.append(pull("C1.2", "K0", chance.uniform(50, 900)))
        tags.append("K0")
    rows = [replace(row, cable=chance.choice(["CAB", "THIN"])) for row in rows]
    least_v = chance.choice([None, 16.0, 20.0, 22.0])
    devices = [
        device(
            tag,
            chance.uniform(0, 80 / count),
            quantity=chance.choice([1, 1, 2]),
            load=chance.choice([None, None, *Load]),
            min_voltage_v=chance.choice([None, least_v]),
        )
        for tag in tags
    ]
    a_job = job(rows, devices)
    return replace(a_job, cables={"CAB": SPEC, "THIN": THIN}), profile(power_duty=chance.choice([1, 1, 0.8]))


def test_after_each_suggestion_nothing_is_found_about_the_runs_voltage() -> None:
    tried: Counter[str] = Counter()
    for seed in range(80):
        a_job, limits = random_job(random.Random(seed))
        before = {(f.rule, f.subject) for f in reaudit(a_job, limits).findings if f.level is Level.FAIL}
        for names, remedy in ways(measure(a_job, limits)):
            after = reaudit(remedy.job, limits)
            own = names | {run.name for run in after.runs if "further" in run.name}
            assert about_voltage(after.findings, own) == [], (seed, remedy.way.sentence)
            failed = {(f.rule, f.subject) for f in after.findings if f.level is Level.FAIL}
            assert {rule for rule, _ in failed} >= set(remedy.way.left)
            assert failed <= before, (seed, remedy.way.sentence)
            tried[kind(remedy)] += 1
    assert min(tried[name] for name in KINDS.values()) >= 5, tried


# --- by hand ------------------------------------------------------------------------------------------


def sentences(a_job: Job, **limits: object) -> list[str]:
    return [remedy.way.sentence for _, remedy in ways(measure(a_job, profile(**limits)))]


def far(power_w: float, length_ft: float = 500, least_v: float | None = 20.0, **more: object) -> Job:
    return job([pull("C1.1", "K1", length_ft)], [device("K1", power_w, min_voltage_v=least_v)], **more)  # type: ignore[arg-type]


def test_the_smallest_gauge_that_mends_is_named_with_its_pulls() -> None:
    """0.3 A over 500 ft of stranded wire at 75 degC (NEC chapter 9 table 8), 1.2 V may be dropped and nine
    tenths of it used: 4.99 ohm/kft (16 AWG) drop 1.50 V, 3.14 (14 AWG) 0.94 V."""
    a_job = job(
        [pull("C1.1", "K1", 500)], [device("K1", 7.2, min_voltage_v=22.8, load=Load.CONSTANT_CURRENT)]
    )
    assert sentences(a_job, conductor_temperature="75 degC")[0] == "14 AWG on C1.1-K1 (500 ft)"


def test_in_a_job_in_metres_the_gauges_are_metric() -> None:
    thin = Cable(name="CAB", area_mm2=0.5, gauge="0.5 mm²")
    a_job = replace(far(8.0, least_v=21.5, cable=thin), length_unit="m")
    assert sentences(a_job)[0] == "1.5 mm² on C1.1-K1 (152.4 m)"


def test_what_has_to_move_and_what_has_to_come_off() -> None:
    """Constant current, 0.1 ohm/m of loop: 1 A at the end of 30 m drops 3 V; allowed: 2 V less a tenth."""
    ohmic = replace(SPEC, area_mm2=None, gauge=None, ohm_per_km=50.0)
    rows = [
        replace(pull("C1.1", "K1"), length_m=10.0),
        replace(pull("K1", "K2"), length_m=10.0),
        replace(pull("K2", "K3"), length_m=10.0),
    ]
    amps = {"K1": 0.2, "K2": 0.2, "K3": 0.6}
    devices = [
        device(tag, 24 * amperes, load=Load.CONSTANT_CURRENT, min_voltage_v=22.0)
        for tag, amperes in amps.items()
    ]
    told = sentences(job(rows, devices, cable=ohmic), conductor_temperature="20 degC")
    # K3 has 24 - (1.0 + 0.8 + 0.6) V = 21.6 V; 1.8 V may drop, so 24 W x (1 - 1.8 / 2.4) = 6 W come off.
    assert told[1:3] == ["move K3 (14.4 W) to another port", "take 6 W off, spread over all its devices"]


def test_where_a_second_feed_enters() -> None:
    rows = [pull("C1.1", "K1", 200), pull("K1", "K2", 200), pull("K2", "K3", 200)]
    devices = [device(tag, 6.0, min_voltage_v=21.0) for tag in ("K1", "K2", "K3")]
    assert sentences(job(rows, devices))[-1] == (
        "lift K1-K2 and feed K2 by a home run of its own from a further port, 400 ft by the same route"
    )


def test_the_second_feed_has_the_controllers_own_voltage() -> None:
    rows = [pull("C1.1", "K1", 300), pull("K1", "K2", 300)]
    devices = [device(tag, 14.0, min_voltage_v=33.0) for tag in ("K1", "K2")]
    a_job = job(
        rows, devices, controllers=[Controller(name="C1", supply_voltage_v=36.0, supply_power_w=100.0)]
    )
    (feed,) = [m for _, m in ways(measure(a_job, profile())) if kind(m) == "fed again"]
    assert {run.source_voltage_v for run in reaudit(feed.job, profile()).runs} == {36.0}


def test_a_branch_without_a_port_is_mended_too() -> None:
    rows = [pull("PANEL", "K1", 200), pull("K1", "K2", 200), pull("K2", "K3", 200)]
    devices = [device(tag, 6.0, min_voltage_v=21.0) for tag in ("K1", "K2", "K3")]
    a_job = job(rows, devices, head_ends=["PANEL"])
    assert {kind(remedy) for _, remedy in ways(measure(a_job, profile()))} == set(KINDS.values())


def test_a_home_run_that_would_break_another_limit_is_not_suggested() -> None:
    """500 ft of reach are allowed, the route is longer: it fails before and with a feed of its own."""
    a_job = job([pull("C1.1", "K1", 600)], [device("K1", 30.0)])
    assert not [text for text in sentences(a_job, run__reach="500 ft") if "home run" in text]


def test_a_device_whose_own_home_run_would_be_too_thin_is_not_moved() -> None:
    """18 W at 900 ft are near the most that the route carries (18.8 W), with nothing else on it."""
    rows = [pull("C1.1", "K1", 800), pull("K1", "K2", 100)]
    told = sentences(job(rows, [device("K1", 1.0), device("K2", 18.0)]))
    assert told
    assert not [each for each in told if each.startswith("move")]


def test_what_still_fails_is_said_with_what_restores_the_voltage() -> None:
    a_job = job([pull("C1.1", "K1", 950)], [device("K1", 19.0)])
    ((_, message), *_) = told(a_job, run__reach="900 ft", device__review_below=0)
    assert "to restore its voltage, reach still failing: 14 AWG on C1.1-K1 (950 ft)" in message


def test_what_overloads_the_supply_with_its_other_run_mends_nothing() -> None:
    """30 W take 38.3 W through 12 AWG: a supply of 42 W gives them, not with 5 W on its other port."""
    rows = [pull("C1.1", "K1", 950), pull("C1.2", "K2", 1)]
    limits = {"controller__supply_power": "42 W", "device__review_below": 0}
    alone = sentences(job(rows[:1], [device("K1", 30.0)]), **limits)
    both = sentences(job(rows, [device("K1", 30.0), device("K2", 5.0)]), **limits)
    assert any("12 AWG" in each for each in alone)
    assert not any("12 AWG" in each for each in both)
    assert any("10 AWG" in each for each in both)  # loses less


def test_a_device_that_needs_more_than_its_supply_has_is_not_mended_by_cable() -> None:
    a_job = far(0.1, length_ft=10, least_v=30.0)
    assert sentences(a_job) == []
    (finding,) = about_voltage(audit(a_job, profile()).findings, {"K1"})
    assert finding.message == (
        "K1 needs 30 V and its supply has 24 V; no cable mends that, check the device's data sheet or the "
        "supply"
    )


# --- what the findings then say -----------------------------------------------------------------------


def told(a_job: Job, **limits: object) -> list[tuple[str, str]]:
    seen = measure(a_job, profile(**limits))
    plans = Plans(remedies=remedies(seen, judge_as_planned))
    return [(f.level.value, f.message) for f in (*check(seen, plans), *further_remedies(seen, plans))]


def test_a_conductor_whose_loss_the_supply_cannot_give_mends_nothing_and_a_thicker_one_does() -> None:
    """12 AWG would deliver 30 W, and take 38.3 W from a supply of 35 W; 10 AWG takes 34.5 W."""
    ((_, message), *_) = told(far(30.0, length_ft=950, least_v=None))
    assert message.endswith("to mend it: 10 AWG on C1.1-K1 (950 ft)")


def test_a_run_that_cannot_be_delivered_is_brought_above_the_profiles_part_where_a_gauge_can() -> None:
    """12 AWG on P-2 alone would deliver the 26 W, at 15.9 V and with 40 W from a supply of 35 W."""
    rows = [pull("C1.1", "K1", 500, id="P-1"), pull("K1", "K2", 400, id="P-2"), pull("C1.2", "K3", 10)]
    devices = [device("K1", 10.0), device("K2", 16.0), device("K3", 1.0)]
    (first, *others) = told(job(rows, devices))
    assert first[1].endswith("to mend it: 12 AWG on P-1, P-2 (900 ft)")
    assert any("move K2 (16 W) to another port, then down to " in message for _, message in others)


def test_how_low_a_run_still_is_is_said_where_no_gauge_keeps_it_above_the_profiles_part() -> None:
    ((_, message), *_) = told(far(30.0, length_ft=950, least_v=None), device__review_below=0.98)
    assert "; to mend it: 12 AWG" not in message
    assert ", then down to " in message
    assert message.endswith(" V, to review")


def test_what_fails_on_another_run_is_not_said_of_a_way_to_mend_this_one() -> None:
    rows = [pull("C1.1", "K1", 500), pull("C1.2", "K2", 10)]
    devices = [device("K1", 14.0, min_voltage_v=21.5), device("K2", 1.0, min_voltage_v=30.0)]
    messages = [message for level, message in told(job(rows, devices)) if level != "note" and "K1" in message]
    assert messages
    assert all("still failing" not in message for message in messages)


def test_the_finding_itself_says_what_restores_the_run() -> None:
    (first, *others) = told(far(30.0, length_ft=950, least_v=None), controller__supply_power="60 W")
    assert first == (
        "fail",
        "The 30 W of C1.1 cannot be delivered at any voltage; its cable could deliver 17.8 W at most; to "
        "mend it: 10 AWG on C1.1-K1 (950 ft)",
    )
    assert [level for level, _ in others] == ["note"] * len(others)
    assert all(text.startswith("C1.1 could also be mended this way: ") for _, text in others)


def test_where_no_single_change_is_enough_that_is_said() -> None:
    rows = [pull("C1.1", f"K{n}", 1000) for n in range(1, 4)]
    devices = [device(f"K{n}", 300.0, min_voltage_v=23.9) for n in range(1, 4)]
    ((level, text),) = told(job(rows, devices))
    assert level == "fail"
    assert text.endswith("50.6 W at most; no single change is enough, split the run")


def test_a_run_that_is_comfortable_is_left_alone() -> None:
    assert told(far(1.0)) == []


def test_a_capacitor_that_sags_is_not_mended_by_cable() -> None:
    a_job = far(1.0, length_ft=1, least_v=23.7)
    ((level, text),) = told(a_job, hold_up={"capacitance": "1000 uF", "data_phase": "10 ms"})
    assert (level, FIX in text, "mend" in text) == ("review", False, False)


def test_a_fault_of_ours_in_the_remedies_leaves_the_findings_and_is_no_pass(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def breaks(*_: object) -> None:
        raise ZeroDivisionError

    a_job = far(30.0, length_ft=950)
    monkeypatch.setattr("auditor.plans.make.remedies", breaks)
    result = audit(a_job, profile())
    assert result.crashed == ("voltage",)
    assert [f.message for f in result.findings if f.rule == "voltage"] == [
        f.message for f in check(measure(a_job, profile()), Plans())
    ]
