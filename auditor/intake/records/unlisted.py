"""Controllers that no list has, named as the listed ones but for their number: two buildings, one list."""

from collections.abc import Iterator

from auditor.intake.document import Document
from auditor.intake.names.ends import Ends
from auditor.intake.said import asked, choices, reading, to_decide, untried
from auditor.job.model import Remark


def unlisted_controllers(ends: Ends, document: Document) -> Iterator[Remark]:
    """What is said of them: a note where the workbook holds several jobs, as the list may be of another one; else
    it is asked whether they are controllers."""
    if not ends.unlisted:
        return
    names, listed = ", ".join(ends.unlisted), ", ".join(map(str, ends.controllers))
    stand, they_are, are_they, controllers = "stand", "they are", "are they", "controllers"
    if len(ends.unlisted) == 1:
        stand, they_are, are_they, controllers = "stands", "it is", "is it", "a controller"
    sentence = f"{names} {stand} in no list of controllers, which has {listed}"
    if document.part is not None:
        message = (
            f"{sentence}; {they_are} taken as {controllers}, as the list may be of another part of the job"
        )
        yield reading(ends.unlisted[0], message)
        return
    yes = choices(("yes", "the pulls that start there are judged as runs of their ports"))
    no = untried("no", "the names are to be corrected in the pulls, or in the list of controllers")
    one = asked(
        "unlisted-controllers",
        ends.unlisted,
        f"{sentence}: {are_they} {controllers} too?",
        (*yes, no),
        None,
    )
    then = f"{they_are.capitalize()} taken as such until it is answered"
    yield to_decide(one, ends.unlisted[0], document.answers, then)
