"""Controllers that no list has, named as the listed ones but for their number: two buildings, one list."""

from collections.abc import Iterator, Mapping, Sequence

from auditor.intake.document import Document
from auditor.intake.names.ends import Ends
from auditor.intake.said import Answers, asked, choices, chosen, reading, to_decide, untried
from auditor.job.likeness import is_slip
from auditor.job.listing import names_text
from auditor.job.model import CellRef, Pull, Question, Remark

MOST_NAMED = 3  # pulls that the question names; project convention


def read_as_listed(ends: Ends, answers: Answers) -> None:
    """Where the answer says that an unlisted controller is a listed one, its ports are read as those of that."""
    slips = _slips(ends)
    if slips and chosen(_question(ends, (), None), answers) == _they_are(slips):
        for name, listed in slips.items():
            ends.same_controller(name, listed)


def unlisted_controllers(ends: Ends, pulls: Sequence[Pull], document: Document) -> Iterator[Remark]:
    """What is said of them: a note where the workbook holds several jobs, as the list may be of another one; else
    it is asked whether they are controllers, at the first cell that names one."""
    if not ends.unlisted:
        return
    starting = list(_starting(ends, pulls))
    question = _question(ends, [pull.id for pull, _ in starting], starting[0][1] if starting else None)
    one = len(ends.unlisted) == 1
    taken = f"{'it is' if one else 'they are'} taken as {'a controller' if one else 'controllers'}"
    if document.part is not None:
        message = f"{_stand(ends, [])}; {taken}, as the list may be of another part of the job"
        yield reading(ends.unlisted[0], message)
        return
    then = f"{'It is' if one else 'They are'} taken as such until it is answered"
    yield to_decide(question, ends.unlisted[0], document.answers, then)


def _question(ends: Ends, pulls: Sequence[str], where: CellRef | None) -> Question:
    slips = _slips(ends)
    one = len(ends.unlisted) == 1
    spelt = f"; {_they_are(slips, 'is spelt nearly as')}" if slips else ""
    is_it = "is it a controller too?" if one else "are they controllers too?"
    yes = [("yes", "the pulls that start there are judged as runs of their ports")]
    if slips:
        listed = " and ".join(dict.fromkeys(slips.values()))
        yes.append((_they_are(slips), f"the pulls that start there are read as those of {listed}"))
    no = untried("no", "the names are to be corrected in the pulls, or in the list of controllers")
    sentence = f"{_stand(ends, pulls)}{spelt}: {is_it}"
    return asked("unlisted-controllers", ends.unlisted, sentence, (*choices(*yes), no), where)


def _stand(ends: Ends, pulls: Sequence[str]) -> str:
    """That they stand in no list, and which pulls start there."""
    stands = "stands" if len(ends.unlisted) == 1 else "stand"
    start = f"pull{'s' * (len(pulls) > 1)} {names_text(pulls, MOST_NAMED)} start{'s' * (len(pulls) == 1)}"
    there = f", where {start}," if pulls else ""
    listed = ", ".join(map(str, ends.controllers))
    return f"{', '.join(ends.unlisted)}{there} {stands} in no list of controllers, which has {listed}"


def _slips(ends: Ends) -> Mapping[str, str]:
    """Unlisted controller -> the one listed controller that it is spelt nearly as."""
    alike = {name: [each for each in ends.controllers if is_slip(name, each)] for name in ends.unlisted}
    return {name: listed[0] for name, listed in alike.items() if len(listed) == 1}


def _they_are(slips: Mapping[str, str], is_: str = "is") -> str:
    return ", ".join(f"{name} {is_} {listed}" for name, listed in slips.items())


def _starting(ends: Ends, pulls: Sequence[Pull]) -> Iterator[tuple[Pull, CellRef]]:
    """The pulls at ports of unlisted controllers, each with the cell of that end."""
    for pull in pulls:
        for field, end in (("near", pull.near), ("far", pull.far)):
            port = ends.ports.get(end)
            if port is not None and port.controller in ends.unlisted:
                yield pull, pull.cells.get(field, pull.where)
