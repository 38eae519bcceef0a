"""What each answer to a question leads to: the readings side by side, told by the run in which they differ."""

from collections.abc import Callable, Mapping, Sequence

from auditor.job.model import Choice, Job, Question
from auditor.profile.limits import Profile
from auditor.results.assemble import run_result
from auditor.results.attribution import Attribution
from auditor.results.audit_result import ChoiceResult, QuestionResult, RunResult
from auditor.results.findings import Verdict
from auditor.results.judged import Judged
from auditor.units import length_text, number_text

_ENDINGS = {Verdict.PASS: "passes", Verdict.REVIEW: "is to review", Verdict.FAIL: "fails"}
_THEN = "then it is asked:"
_FIGURES = ("cable_m", "reach_m", "devices", "power_w", "min_voltage_v", "verdict")

Runs = Mapping[str, RunResult]


def question_result(
    question: Question, job: Job, profile: Profile, judge: Callable[[Job, Profile], Judged]
) -> QuestionResult:
    """The question with what each answer leads to, as far as the workbook was read with it.

    Parameters
    ----------
    job : the one that asks
    judge : measures and judges a job
    """
    runs = {
        choice.answer: _runs(judge(choice.reading, profile)) for choice in question.choices if choice.reading
    }

    def told_next(choice: Choice) -> str:
        reading = choice.next_reading
        return "" if reading is None else _told_next(choice, reading, _runs(judge(reading, profile)), job)

    return QuestionResult(
        id=question.id,
        sentence=question.sentence,
        choices=tuple(_choice_result(choice, runs, job, told_next(choice)) for choice in question.choices),
        answered=question.answer,
        waits=question.waits,
        where=question.where,
    )


def _runs(judged: Judged) -> Runs:
    attribution = Attribution(judged)
    found = [run_result(state, attribution.run(i)) for i, state in enumerate(judged.bus.runs)]
    return {run.name: run for run in found}


def _told_next(choice: Choice, reading: Job, runs: Runs, job: Job) -> str:
    """What the likeliest answer to the next question leads to; empty: to no run."""
    if not runs:
        return ""
    return f"; with {choice.next_answer!r} {_outcome(reading, runs, [], job)}"


def _choice_result(choice: Choice, runs: Mapping[str, Runs], job: Job, then: str) -> ChoiceResult:
    if choice.reading is None:
        return ChoiceResult(
            answer=choice.answer, leads_to=choice.leads_to, outcome=choice.leads_to, tried=choice.tried
        )
    others = [own for answer, own in runs.items() if own and answer != choice.answer]
    outcome = _outcome(choice.reading, runs[choice.answer], others, job)
    if outcome.startswith(_THEN):
        outcome += then
    short = f"then another question is asked{then}" if outcome.startswith(_THEN) else outcome
    return ChoiceResult(answer=choice.answer, leads_to=f"{choice.leads_to}: {outcome}", outcome=short)


def _outcome(reading: Job, own: Runs, others: Sequence[Runs], job: Job) -> str:
    """What is told of a reading: the first run that has other figures in another one, and how many runs fail.

    Parameters
    ----------
    others : of the other readings that have runs
    """
    if not own:
        closing = [remark.question for remark in reading.remarks if remark.closes]
        return _next([one for one in closing if one], job) or "no run is found"
    changed = [name for name in _names(own, others) if any(_differ(name, own, each) for each in others)]
    if others and not changed:
        asked = [one for remark in reading.remarks if (one := remark.question) and one.id not in _ids(job)]
        return _next(asked, job) or f"no figure changes, {_failing(own)}"
    name = max(changed or own, key=lambda each: (each in own, _severity(own, each, others)))
    if name not in own:
        return f"there is no run {name}, {_failing(own)}"
    told = _told(own[name], _figure(name, own, others), reading.length_unit)
    failing = [each for each, run in own.items() if run.verdict is Verdict.FAIL and each != name]
    return f"{told}, {_failing(own)}" if failing else told


def _next(asked: Sequence[Question], job: Job) -> str:
    """That a question stays open, or which one comes up; empty: none."""
    if not asked:
        return ""
    known = asked[0].id in _ids(job)
    return "another question has to be answered too" if known else f"{_THEN} {asked[0].sentence}"


def _ids(job: Job) -> frozenset[str]:
    return frozenset(one.id for one in job.questions)


def _names(own: Runs, others: Sequence[Runs]) -> Sequence[str]:
    return list(dict.fromkeys([*own, *(name for each in others for name in each)]))


def _severity(own: Runs, name: str, others: Sequence[Runs]) -> int:
    """How bad a run is in the worst of the readings: that run is told of."""
    return max(each[name].verdict.severity for each in (own, *others) if name in each)


def _differ(name: str, own: Runs, other: Runs) -> bool:
    if name not in own or name not in other:
        return True
    return any(getattr(own[name], figure) != getattr(other[name], figure) for figure in _FIGURES)


def _figure(name: str, own: Runs, others: Sequence[Runs]) -> str:
    """The figure of a run that differs from that of another reading; without another one its cable."""
    return next(
        (
            figure
            for figure in _FIGURES
            for each in others
            if name in each and getattr(each[name], figure) != getattr(own[name], figure)
        ),
        "cable_m",
    )


def _told(run: RunResult, figure: str, unit: str) -> str:
    name, ending = run.name, _ENDINGS[run.verdict]
    if figure == "verdict":
        return f"{name} {ending}"
    value = getattr(run, figure)
    if value is None:
        what = {"cable_m": "cable", "reach_m": "reach", "power_w": "power"}.get(figure, "lowest voltage")
        return f"the {what} of {name} is not known, it {ending}"
    texts: Mapping[str, str] = {
        "cable_m": f"holds {length_text(value, unit)} of cable",
        "reach_m": f"reaches {length_text(value, unit)}",
        "devices": f"has {value} device{'s' * (value != 1)}",
        "power_w": f"draws {number_text(value)} W",
        "min_voltage_v": f"falls to {number_text(value, 2)} V",
    }
    return f"{name} {texts[figure]} and {ending}"


def _failing(own: Runs) -> str:
    failing = sum(run.verdict is Verdict.FAIL for run in own.values())
    return f"{failing} of {len(own)} runs fail" if failing else "no run fails"
