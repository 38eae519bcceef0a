"""Causes and what follows from them, proven: with the cause mended, what follows from it is gone.

Each way to mend is applied to the job, which is judged again. A way is kept where the finding that it mends
goes and less comes than goes; of several ways the one that does more stands first, and what goes with it is no
cause of its own.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from auditor.bus.pieces import Piece
from auditor.causes.mends import DRAWN, Mend, possible_mends
from auditor.job.change import together
from auditor.job.model import Row, row_of
from auditor.results.findings import Finding, Level, causes_first
from auditor.results.judged import Judge, Judged
from auditor.rules import cut_list, port_plan

MOST_WAYS = 8  # ways to mend that are tried each on its own, of one job; project convention
LEAST_WAYS = 2  # the same of a very large job
MOST_ROWS = 6000  # rows that are judged again in all, so that a large job has fewer ways; project convention
MORE_TRIES = 2  # times that a job is judged beyond that, with several ways together; project convention
NAMED = 3  # findings that come which a sentence names; project convention
PLANNED = (port_plan.NAME, cut_list.NAME)  # what these find is not found without plans

_Key = tuple[str, str, Row | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Proven:
    """A way to mend that was tried."""

    mend: Mend
    gone: frozenset[str]  # ids of the findings that go with it
    come: Mapping[_Key, Level]  # what comes
    fails: int  # that go, less those that come
    reviews: int  # the same of reviews

    @property
    def is_clean(self) -> bool:
        least = 1 if self.mend.dark else 2
        return (
            self.mend.finding.id in self.gone
            and len(self.gone) >= least
            and Level.FAIL not in self.come.values()
        )

    @property
    def does_good(self) -> bool:
        return (self.fails, self.reviews) > (0, 0)


def with_causes(judged: Judged, judge: Judge) -> tuple[tuple[Finding, ...], int]:
    """The findings with what they follow from, causes first, and how many ways to mend were not tried.

    Parameters
    ----------
    judged : its findings have their ids
    judge : judges a job without plans of its own
    """
    mends = possible_mends(judged.bus, judged.findings) if _may_follow(judged.findings) else []
    if not mends:
        return judged.findings, 0
    trials = _Trials(judged, judge)
    tried, untried = _tried(mends, trials)
    causes = _causes(tried)
    because = _because(causes, trials)
    told = {
        each.mend.finding.id: _told(each, trials.total, _joint(each, causes, because))
        for each in causes
        if _has_followers(each.mend.finding, because, judged.findings)
    }
    found = (
        told.get(each.id)
        or replace(each, because=tuple(id_ for id_ in because.get(each.id, ()) if id_ in told))
        for each in judged.findings
    )
    return causes_first(found), untried


def _may_follow(findings: Iterable[Finding]) -> bool:
    return sum(each.level is not Level.NOTE for each in findings) > 1


def _tried(mends: Sequence[Mend], trials: "_Trials") -> tuple[list[_Proven], int]:
    """Each way to mend tried on its own, and how many were not; none for what is settled: it went, or is fed, with
    a way before, with which others went and no fail came."""
    tried: list[_Proven] = []
    settled: set[str] = set()
    fed: list[Piece] = []
    untried = 0
    for mend in mends:
        if mend.finding.id in settled or (mend.change.drawn and mend.feeds in fed):
            continue
        if len(tried) == trials.most_ways:
            untried += 1
            continue
        tried.append(trials.of([mend]))
        if tried[-1].is_clean:
            settled |= tried[-1].gone
            fed += [mend.feeds] if mend.feeds else []
    return tried, untried


class _Trials:
    """The job judged again and again, each time with something mended."""

    def __init__(self, judged: Judged, judge: Judge) -> None:
        self._bus, self._judge = judged.bus, judge
        self._before = _levels(each for each in judged.findings if each.rule not in PLANNED)
        serious = [each for each in judged.findings if each.level is not Level.NOTE]
        self.total, self.count = len(serious), 0
        rows = len(self._bus.job.devices) + len(self._bus.job.pulls)
        self.most_ways = max(LEAST_WAYS, min(MOST_WAYS, MOST_ROWS // rows))
        self._level = {each.id: each.level for each in serious}
        self._ids = [(_key(each), each.id) for each in serious if _key(each) in self._before]

    def of(self, mends: Sequence[Mend]) -> _Proven:
        """What goes and what comes with all of these mends together, told of the first."""
        self.count += 1
        after = self._after(mends)
        gone = frozenset(id_ for key, id_ in self._ids if key not in after)
        come = {
            key: level
            for key, level in after.items()
            if _severity(level) > _severity(self._before.get(key)) and not key[1].startswith(DRAWN)
        }
        fails, reviews = (
            sum(self._level[id_] is level for id_ in gone) - list(come.values()).count(level)
            for level in (Level.FAIL, Level.REVIEW)
        )
        return _Proven(mend=mends[0], gone=gone, come=come, fails=fails, reviews=reviews)

    def _after(self, mends: Sequence[Mend]) -> Mapping[_Key, Level]:
        job = together([each.change for each in mends]).applied(self._bus.job)
        judged = self._judge(job, self._bus.profile)
        return self._before if judged.crashed else _levels(judged.findings)


def _levels(findings: Iterable[Finding]) -> Mapping[_Key, Level]:
    """The worst level of all that is found of one subject by one rule in one row, notes apart; the worst are first."""
    levels: dict[_Key, Level] = {}
    for each in findings:
        if each.level is not Level.NOTE:
            levels.setdefault(_key(each), each.level)
    return levels


def _severity(level: Level | None) -> int:
    return 0 if level is None else level.severity


def _key(finding: Finding) -> _Key:
    return finding.rule, finding.subject, row_of(finding.where)


def _causes(tried: Sequence[_Proven]) -> list[_Proven]:
    """Of each finding the best way to mend it, those first that do most; none that goes with another. A pull is
    only missing where no pull that is there could feed what is dark."""
    kept: list[_Proven] = []
    for each in sorted(tried, key=_standing):
        own = each.mend.finding.id
        if own not in each.gone or not each.does_good or any(own in other.gone for other in kept):
            continue
        if not any(_exclude(each.mend, other.mend) for other in kept):
            kept.append(each)
    return kept


def _standing(tried: _Proven) -> tuple[bool, int, int, int]:
    """What the ways to mend are sorted by: the right one can bring reviews, of limits that are kept only just."""
    return bool(tried.mend.change.drawn), -tried.fails, tried.mend.rank, -tried.reviews


def _exclude(one: Mend, other: Mend) -> bool:
    return one.change.meets(other.change) or (one.feeds is not None and one.feeds is other.feeds)


def _because(causes: Sequence[_Proven], trials: _Trials) -> Mapping[str, list[str]]:
    """Id of a finding -> the ids of the causes that it follows from."""
    because: dict[str, list[str]] = {}
    own = {each.mend.finding.id for each in causes}
    for each in causes:
        for id_ in each.gone - own:
            because.setdefault(id_, []).append(each.mend.finding.id)
    if len(causes) > 1 and trials.count + 1 + len(causes) <= trials.most_ways + MORE_TRIES:
        alone = frozenset(because) | own
        mends = [each.mend for each in causes]
        further = trials.of(mends).gone - alone
        for mend in mends if further else ():
            without = trials.of([each for each in mends if each is not mend]).gone
            for id_ in further - without:
                because.setdefault(id_, []).append(mend.finding.id)
    return because


def _has_followers(cause: Finding, because: Mapping[str, Sequence[str]], findings: Iterable[Finding]) -> bool:
    """Whether something else than the same fault in another row follows from a finding."""
    following = (each for each in findings if cause.id in because.get(each.id, ()))
    return any((each.rule, each.subject) != (cause.rule, cause.subject) for each in following)


def _named(come: Mapping[_Key, Level]) -> str:
    """What comes, in words."""
    if not come:
        return "none comes"
    named = [f"{rule} of {_subject_text(subject)}, a {level}" for (rule, subject, _), level in come.items()]
    more = f"; {len(named) - NAMED} more" if len(named) > NAMED else ""
    return f"{len(named)} come{'s' * (len(named) == 1)} ({'; '.join(named[:NAMED])}{more})"


def _subject_text(subject: str) -> str:
    """A subject in words: a branch of a head end is named by its first pull, which may be one that was drawn."""
    return "the branch that it feeds" if DRAWN in subject else subject


def _joint(cause: _Proven, causes: Iterable[_Proven], because: Mapping[str, Sequence[str]]) -> str:
    """How many more findings go with other causes mended too, a clause; empty: none."""
    own = cause.mend.finding.id
    more = [ids for id_, ids in because.items() if own in ids and id_ not in cause.gone]
    others = {id_ for ids in more for id_ in ids} - {own}
    names = [each.mend.finding.subject for each in causes if each.mend.finding.id in others]
    return f", {len(more)} more with {' and '.join(names)} mended too," if more else ""


def _told(cause: _Proven, total: int, joint: str) -> Finding:
    mend = cause.mend
    go = f"{len(cause.gone)} of {total} findings {'goes' if len(cause.gone) == 1 else 'go'}"
    message = f"{mend.fault}; {mend.way}, {go}{joint} and {_named(cause.come)}{mend.otherwise}"
    return replace(mend.finding, message=message, because=())
