"""Which findings follow from which, on jobs that can be typed in minutes."""

import random
from dataclasses import replace

import pytest

from auditor.audit import audit, judge, judge_as_planned
from auditor.bus.measure import measure
from auditor.causes.prove import LEAST_WAYS, MORE_TRIES, MOST_WAYS, with_causes
from auditor.job.model import CellRef, Controller, Device, Job
from auditor.plans.plans import Plans
from auditor.profile.limits import Profile
from auditor.results.accepted import with_ids
from auditor.results.audit_result import Audit
from auditor.results.findings import Finding, Level, consequences
from auditor.results.job_summary import job_summary
from auditor.results.judged import Judged
from tests.builders import SPEC, device, job, profile, pull

CHAIN = [pull("C1.1", "K1", id="P1"), *(pull(f"K{n}", f"K{n + 1}", id=f"P{n + 1}") for n in range(1, 9))]
TAGS = [device(f"K{n}") for n in range(1, 10)]


def audited(a_job: Job) -> Audit:
    return audit(a_job, profile())


def worst(result: Audit) -> Finding:
    found = job_summary(result).worst()
    assert found is not None
    return found


def followers(result: Audit, cause: Finding) -> set[tuple[str, str]]:
    return {(each.rule, each.subject) for each in result.findings if cause.id in each.because}


def why(result: Audit, name: str) -> str:
    rows = [
        each
        for each in (*result.devices, *result.pulls)
        if name in (getattr(each, "tag", ""), getattr(each, "id", ""))
    ]
    return rows[0].why


def mistyped(pulls: list, number: int, **ends: str) -> list:
    return [*pulls[:number], replace(pulls[number], **ends), *pulls[number + 1 :]]


def test_what_is_dark_follows_from_the_mistyped_end() -> None:
    result = audited(job(mistyped(CHAIN, 3, far="DM-203"), TAGS))
    cause = worst(result)
    assert (cause.rule, cause.subject) == ("unknown-end", "P4")
    dark = {("unfed", f"K{n}") for n in range(4, 10)} | {("unfed", f"P{n}") for n in range(5, 10)}
    assert followers(result, cause) == dark
    assert "as K4, which nothing feeds, 12 of 12 findings go and none comes" in cause.message
    fault = "pull P4 ends at DM-203, which is no device, port, head end or splice of this job"
    assert why(result, "K7") == why(result, "P8") == f"Dark since {fault}"
    assert result.findings[0] == cause


def test_the_name_that_is_spelt_alike_is_not_taken_where_it_mends_less() -> None:
    tags = [*TAGS, device("DM-202")]
    pulls = [*mistyped(CHAIN, 3, far="DM-203"), pull("C1.1", "DM-202", id="P20")]
    assert "as K4, which nothing feeds" in worst(audited(job(pulls, tags))).message


def test_a_near_end_that_is_mistyped() -> None:
    cause = worst(audited(job(mistyped(CHAIN, 3, near="K33"), TAGS)))
    assert "as K3, 13 of 13 findings go and none comes" in cause.message


def test_a_port_that_no_pull_uses_yet_is_what_a_mistyped_near_end_means() -> None:
    """No pull is drawn to the end that is not known: that would only move the fault."""
    pulls = [*CHAIN[:4], pull("CI.2", "K5", id="P5"), *CHAIN[5:]]
    typed = job(pulls, TAGS, controllers=[Controller(name="C1", ports=2)])
    typed = replace(
        typed,
        ports={"C1.1": typed.ports["C1.1"]},
        controllers={"C1": typed.controllers["C1"]},
    )
    cause = worst(audited(typed))
    assert (cause.rule, cause.subject) == ("unknown-end", "P5")
    assert cause.message.startswith("Pull P5 starts at CI.2, which is no device, port")
    assert "; as C1.2, 11 of 11 findings go and none comes" in cause.message


def test_an_unknown_end_that_no_name_is_near_is_still_the_cause() -> None:
    result = audited(job(mistyped(CHAIN, 3, near="Z88888"), TAGS))
    cause = worst(result)
    assert (cause.rule, cause.subject) == ("unknown-end", "P4")
    assert (
        "; with an end there that is fed, 13 of 13 findings go and none comes; correct Z88888"
        in cause.message
    )
    assert not any("\0" in each.message + each.subject for each in result.findings)


def test_no_sentence_shows_the_id_of_a_pull_that_is_drawn() -> None:
    """With a pull drawn from the rack to K5 its branch fails, named by its first pull, which is the drawn one."""
    pulls = [pull("RACK", "K1", id="P1"), pull("K5", "K6", 900, id="P2"), pull("K6", "K7", 900, id="P3")]
    typed = job(pulls, [device(f"K{n}", 12.0) for n in (1, 5, 6, 7)], head_ends=["RACK"])
    result = audited(typed)
    assert any("voltage of the branch that it feeds, a fail" in each.message for each in result.findings)
    assert not any("\0" in each.message + each.subject for each in result.findings)


def test_a_known_end_that_is_the_wrong_one_closes_a_loop_and_leaves_others_dark() -> None:
    result = audited(job(mistyped(CHAIN, 4, far="K1"), TAGS))
    cause = worst(result)
    assert cause.rule == "loop"
    assert cause.message.startswith(
        "Pulls P4, P3, P2, P5 close a loop on C1.1; with pull P5 ending not at K1 but at K5, which nothing feeds, "
    )
    assert ("unfed", "K9") in followers(result, cause)


def combined(rows: list[tuple[str, str]]) -> Job:
    """A sheet whose rows say of each device what feeds it."""
    typed = job(
        [pull(near, tag, id=f"P{row}") for row, (tag, near) in enumerate(rows)],
        [device(tag) for tag, _ in rows],
    )
    cell = [CellRef("List", row, 1) for row in range(2, len(rows) + 2)]
    return replace(
        typed,
        devices=tuple(replace(each, where=where) for each, where in zip(typed.devices, cell, strict=True)),
        pulls=tuple(replace(each, where=where) for each, where in zip(typed.pulls, cell, strict=True)),
    )


def test_a_row_listed_twice_is_told_before_the_loop_that_it_closes() -> None:
    result = audited(combined([("K1", "C1.1"), ("K2", "K1"), ("K3", "K2"), ("K4", "K1"), ("K3", "K4")]))
    cause = worst(result)
    assert (cause.rule, cause.subject) == ("double-entry", "K3")
    assert "without this row" in cause.message
    assert ("loop", "P4") in followers(result, cause)


def test_one_tag_on_two_controllers_is_told_before_what_it_joins() -> None:
    devices = [*TAGS[:2], device("K4", controller="C1"), device("K3"), device("K4", controller="C2")]
    pulls = [
        pull("C1.1", "K1", id="P1"), pull("K1", "K2", id="P2"), pull("K2", "K4", id="P3"),
        pull("C2.1", "K3", id="P4"), pull("K3", "K4", id="P5"),
    ]  # fmt: skip
    result = audited(job(pulls, devices))
    cause = worst(result)
    assert (cause.rule, cause.subject) == ("double-entry", "K4")
    assert "as two devices with a tag each" in cause.message
    assert {rule for rule, _ in followers(result, cause)} >= {"joined-ports"}


def test_a_missing_pull_is_told_of_the_device_that_it_should_feed() -> None:
    result = audited(job([*CHAIN[:3], *CHAIN[4:]], TAGS))
    cause = worst(result)
    assert (cause.rule, cause.subject) == ("unfed", "K4")
    assert "with a pull that feeds it, 11 of 11 findings go and none comes" in cause.message
    assert why(result, "K9") == "Dark since K4 is not fed: its cable leads to no port"


def test_a_blank_end_is_told_before_what_is_dark_behind_it() -> None:
    cause = worst(audited(job(mistyped(CHAIN, 3, far=""), TAGS)))
    assert (cause.rule, cause.subject) == ("missing-value", "P4")
    assert "as K4, which nothing feeds, " in cause.message


def test_of_two_ends_in_a_row_what_is_behind_both_follows_from_both() -> None:
    pulls = mistyped(mistyped(CHAIN, 3, far="DM-203"), 6, far="TS-1")
    result = audited(job(pulls, TAGS))
    because = {each.subject: each.because for each in result.findings if each.rule == "unfed"}
    ids = {each.subject: each.id for each in result.findings if each.rule == "unknown-end"}
    assert because["K5"] == (ids["P4"],)
    assert sorted(because["K9"]) == sorted((ids["P4"], ids["P7"]))
    told = {each.subject: each.message for each in result.findings if each.rule == "unknown-end"}
    assert "7 of 13 findings go, 5 more with P7 mended too, and none comes" in told["P4"]
    assert "1 of 13 findings goes, 5 more with P4 mended too, and none comes" in told["P7"]


def test_what_is_behind_two_ends_does_not_follow_from_a_third_elsewhere() -> None:
    pulls = mistyped(mistyped(CHAIN, 3, far="DM-203"), 6, far="TS-1")
    pulls += [pull("C1.2", "M1", id="Q1"), pull("M1", "Z", id="Q2"), pull("M2", "M3", id="Q3")]
    result = audited(job(pulls, [*TAGS, *(device(f"M{n}") for n in (1, 2, 3))]))
    ids = {each.id: each.subject for each in result.findings if each.rule == "unknown-end"}
    because = {
        each.subject: sorted(ids[id_] for id_ in each.because)
        for each in result.findings
        if each.rule == "unfed"
    }
    assert (because["K5"], because["K9"], because["M3"]) == (["P4"], ["P4", "P7"], ["Q2"])


def test_a_port_that_is_not_there_is_told_before_what_it_leads_to() -> None:
    pulls = [pull("C1.1", "K1", id="P1"), pull("C1.2", "K2", id="P2"), pull("C1.7", "K3", id="P3")]
    devices = [device("K1"), device("K2"), device("K3", controller="C1", port="1")]
    result = audited(job(pulls, devices))
    cause = worst(result)
    assert (cause.rule, cause.subject) == ("port-use", "C1.7")
    assert followers(result, cause) == {("port-use", "K3")}


def test_cable_off_specification_is_told_before_the_limits_that_it_cuts() -> None:
    thin = replace(SPEC, shielded=True)
    result = audited(job([pull("C1.1", "K1", 300), pull("K1", "K2", 260)], cable=thin))
    cause = worst(result)
    assert (cause.rule, cause.subject, cause.level) == ("cable-spec", "CAB", Level.REVIEW)
    assert followers(result, cause) == {("reach", "K2")}
    assert cause.message == (
        "Cable CAB is off specification: shielded where unshielded is asked for; with cable to specification in its place, "
        "2 of 2 findings go and none comes; or keep within its limits"
    )


def test_a_row_says_what_it_follows_from_once_where_its_run_follows_from_the_same() -> None:
    thin = replace(SPEC, shielded=True)
    result = audited(job([pull("C1.1", "K1", 470), pull("K1", "K2", 600)], cable=thin))
    since = "since cable CAB is off specification: shielded where unshielded is asked for"
    assert why(result, "K1-K2") == f"Its run, C1.1, fails: run-length, {since}"
    assert why(result, "K1").startswith("K1 is 470 ft from C1.1, 94 % of the limit of 500 ft")
    assert why(result, "K1").endswith(f", {since}. Its run, C1.1, fails: run-length")


def test_nothing_follows_from_a_single_finding_and_nothing_is_tried() -> None:
    tried = []

    def counted(a_job: Job, a_profile: Profile) -> Judged:
        tried.append(a_job)
        return judge_as_planned(a_job, a_profile)

    found, untried = with_causes(with_own_ids(job([*CHAIN, pull("K1", "K3", 50, id="P99")], TAGS)), counted)
    assert [each.because for each in found if each.level is not Level.NOTE] == [()]
    assert (tried, untried) == ([], 0)


def test_the_job_is_judged_a_bounded_number_of_times_and_what_was_not_tried_is_counted() -> None:
    pulls = [pull(f"C{n}.1", f"X{n}", id=f"P{n}") for n in range(1, 41)]
    chains = [pull(f"K{n}", f"L{n}", id=f"Q{n}") for n in range(1, 41)]
    tags = [device(f"{letter}{n}") for n in range(1, 41) for letter in "KL"]
    tried = []

    def counted(a_job: Job, a_profile: Profile) -> Judged:
        tried.append(a_job)
        return judge_as_planned(a_job, a_profile)

    found, untried = with_causes(with_own_ids(job([*pulls, *chains], tags)), counted)
    assert len(tried) <= MOST_WAYS + MORE_TRIES
    assert untried > 0
    assert any(each.because for each in found)
    result = audited(job([*pulls, *chains], tags))
    assert result.ways_untried == untried


def with_own_ids(a_job: Job) -> Judged:
    judged = judge(measure(a_job, profile()), Plans())
    return replace(judged, findings=tuple(with_ids(judged.findings, None)))


def test_ids_and_causes_stay_when_rows_are_sorted_otherwise() -> None:
    pulls = mistyped(CHAIN, 3, far="DM-203")
    once, again = audited(job(pulls, TAGS)), audited(job(pulls[::-1], TAGS[::-1]))
    assert {(each.id, each.because) for each in once.findings} == {
        (each.id, each.because) for each in again.findings
    }


@pytest.mark.parametrize("seed", range(20))
def test_with_the_cause_mended_nothing_is_left(seed: int) -> None:
    """One end of a random tree is mistyped: all findings follow from it, and it is given its true name."""
    rng = random.Random(seed)
    pulls = [pull("C1.1", "K1", id="P1")]
    pulls += [pull(f"K{rng.randint(1, n - 1)}", f"K{n}", id=f"P{n}") for n in range(2, 30)]
    tags = [device(f"K{n}") for n in range(1, 30)]
    at = rng.randrange(len(pulls))
    true = pulls[at].far
    result = audited(job(mistyped(pulls, at, far="LAMP 9"), tags))
    serious = [each for each in result.findings if each.level is not Level.NOTE]
    cause = worst(result)
    assert f"as {true}, which nothing feeds, {len(serious)} of {len(serious)} findings go" in cause.message
    assert set(consequences(result.findings)) == {each.id for each in serious} - {cause.id}


@pytest.mark.parametrize("seed", range(20))
def test_with_a_wrong_end_of_the_list_corrected_nothing_is_left(seed: int) -> None:
    """A pull of a random tree ends at a device that is fed already: a loop closes, and others are dark."""
    rng = random.Random(seed)
    above = {n: rng.randint(1, n - 1) for n in range(2, 30)}
    pulls = [pull("C1.1", "K1", id="P1")] + [
        pull(f"K{near}", f"K{n}", id=f"P{n}") for n, near in above.items()
    ]
    wrong = rng.randint(3, 29)
    behind = {wrong}
    for n in range(wrong + 1, 30):
        if above[n] in behind:
            behind.add(n)
    other = rng.choice([n for n in range(1, 30) if n not in behind and n != above[wrong]])
    result = audited(
        job(mistyped(pulls, wrong - 1, far=f"K{other}"), [device(f"K{n}") for n in range(1, 30)])
    )
    serious = [each for each in result.findings if each.level is not Level.NOTE]
    cause = worst(result)
    go = f" K{wrong}, which nothing feeds, {len(serious)} of {len(serious)} findings go and none comes"
    assert cause.rule in ("loop", "double-entry")
    assert go in cause.message


def test_a_controller_without_a_free_port_is_no_reason_to_stop() -> None:
    pulls = mistyped(CHAIN, 3, far="DM-203")
    typed = job(pulls, TAGS, controllers=[Controller(name="C1", ports=1)])
    assert worst(audited(typed)).rule == "unknown-end"


def test_a_fault_of_ours_leaves_the_findings_and_is_no_pass(monkeypatch: pytest.MonkeyPatch) -> None:
    def breaks(*_: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr("auditor.audit.with_causes", breaks)
    result = audited(job(mistyped(CHAIN, 3, far="DM-203"), TAGS))
    assert result.crashed == ("causes",)
    assert len([each for each in result.findings if each.level is Level.FAIL]) == 12


def test_devices_of_one_row_each_are_all_told() -> None:
    """Two devices that nothing feeds, each alone: no pull hangs on them, so nothing follows from either."""
    devices: list[Device] = [*TAGS, device("M1"), device("M2")]
    result = audited(job(CHAIN, devices))
    assert {each.subject: each.because for each in result.findings if each.rule == "unfed"} == {
        "M1": (),
        "M2": (),
    }


# --- what comes, and which of several ways is told ----------------------------------------------------


def behind_a_slip(lengths_ft: list[float], **limits: object) -> Finding:
    """A chain whose second pull is mistyped: what is behind it comes to light with the mend."""
    ends = ["K1", *(f"K{n}" for n in range(2, len(lengths_ft) + 2))]
    pulls = [pull("C1.1", "K1", 10, id="P1")]
    pulls += [
        pull(a, b, m, id=f"P{n}")
        for n, (a, b, m) in enumerate(zip(ends, ends[1:], lengths_ft, strict=False), 2)
    ]
    tags = [device(tag) for tag in ends]
    return worst(audit(job(mistyped(pulls, 1, far="LAMP 9"), tags), profile(**limits)))


def test_what_comes_with_a_mend_is_named_with_its_level() -> None:
    one = behind_a_slip([40, 60], run__reach="100 ft")
    assert "4 of 4 findings go and 1 comes (reach of K3, a fail); if" in one.message
    two = behind_a_slip([40, 45, 20], run__reach="100 ft")
    assert "6 of 6 findings go and 2 come (reach of K4, a fail; reach of K3, a review); if" in two.message


def test_of_many_that_come_some_are_named() -> None:
    many = behind_a_slip([100, 10, 10, 10, 10], run__reach="100 ft")
    assert many.message.count("a fail") == 3
    assert "5 come (" in many.message
    assert "; 2 more); if" in many.message


def test_a_way_that_trades_one_fail_for_another_is_not_told() -> None:
    """As K2, which is fed, a loop would close."""
    pulls = [*CHAIN, pull("K9", "K22", id="P99")]
    result = audited(job(pulls, [*TAGS, device("M1")], splices=[]))
    told = {each.subject: each.message for each in result.findings if each.rule == "unknown-end"}
    assert "as M1, which nothing feeds, 2 of 2 findings go" in told["P99"]
    alone = audited(job([*pulls, pull("K8", "", id="P98", landed=False)], TAGS))
    (message,) = [each.message for each in alone.findings if each.rule == "unknown-end"]
    assert message.endswith("; correct it, or add K22 to the device list")


def test_of_two_wrong_ends_and_one_dark_device_only_one_is_told_to_feed_it() -> None:
    pulls = [*CHAIN, pull("K8", "M11", id="P98"), pull("K9", "Z5", id="P99")]
    result = audited(job(pulls, [*TAGS, device("M1")]))
    told = {each.subject: each.message for each in result.findings if each.rule == "unknown-end"}
    assert "as M1, which nothing feeds, 2 of 3 findings go and none comes" in told["P98"]
    assert "findings go" not in told["P99"]
    (dark,) = [each for each in result.findings if each.rule == "unfed"]
    assert dark.because == (next(each.id for each in result.findings if each.subject == "P98"),)


def test_fails_weigh_more_than_reviews() -> None:
    """As K4 the dark devices come to light and three of them are near the limit of reach: the right name all the same."""
    pulls = [
        pull("C1.1", "K1", 10, id="P1"),
        pull("K1", "K44", 82, id="P2"),
        pull("K4", "K5", 1, id="P3"),
        pull("K4", "K6", 1, id="P4"),
    ]
    tags = [device(tag) for tag in ("K1", "K4", "K5", "K6")]
    cause = worst(audit(job(pulls, tags), profile(run__reach="100 ft")))
    assert "as K4, which nothing feeds, 6 of 6 findings go and 3 come (reach of " in cause.message
    assert cause.message.count("a review") == 3


def test_the_same_fault_in_two_rows_is_no_cause_of_itself() -> None:
    result = audited(job([pull("C1.1", "K1", id="P1")], [device("K1"), device("K1")]))
    assert [(each.rule, each.because) for each in result.findings if each.level is not Level.NOTE] == [
        ("double-entry", ()),
        ("double-entry", ()),
    ]
    assert not [each for each in result.findings if "findings go" in each.message]


def test_a_rule_that_cannot_be_run_in_a_trial_proves_nothing() -> None:
    def crashed(a_job: Job, a_profile: Profile) -> Judged:
        return replace(judge_as_planned(a_job, a_profile), crashed=("reach",))

    found, _ = with_causes(with_own_ids(job(mistyped(CHAIN, 3, far="DM-203"), TAGS)), crashed)
    assert not [each for each in found if each.because or "findings go" in each.message]


def test_a_large_job_is_judged_again_less_often() -> None:
    tried: list[Job] = []

    def counted(a_job: Job, a_profile: Profile) -> Judged:
        tried.append(a_job)
        return judge_as_planned(a_job, a_profile)

    rows = [pull("C1.1", "K0", 1, id="P0"), *(pull("K0", f"K{n}", 1, id=f"P{n}") for n in range(1, 1100))]
    wrong = [replace(each, far=f"LAMP {n}") if n % 100 == 1 else each for n, each in enumerate(rows)]
    with_causes(with_own_ids(job(wrong, [device(f"K{n}", 0.001) for n in range(1100)])), counted)
    assert len(tried) == LEAST_WAYS
