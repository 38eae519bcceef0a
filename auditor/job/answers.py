"""What people type on the sheet «Questions»: the headings it is found by, the record of a row, and its answer."""

import json
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from auditor.job.checksums import checksum

SENTENCE_HEADING = "What is unclear"
ANSWER_HEADING = "Answer"
USE_HEADING = "Use it for"
RECORD_HEADING = "Question id"
THIS_WORKBOOK, THIS_FOLDER = "this workbook", "all workbooks of this folder"
_QUOTES = {ord(sign): None for sign in "'\"‘’‚‛“”„‟`´«»"}  # programs turn them, or take the first one away


@dataclass(frozen=True, slots=True, kw_only=True)
class RowRecord:
    """What a row of the sheet holds for its next reading; it stands in the row's last cell."""

    id: str
    sentence: str
    choices: tuple[str, ...]
    source: str = ""  # the file that the answer in the row was taken from; empty: this copy itself
    answer: str = ""  # that answer: where the cell still holds it, the source speaks for itself
    set_aside: tuple[
        str, ...
    ] = ()  # answers of other copies that count no more: they contradicted each other

    def text(self) -> str:
        """The record as its cell holds it."""
        data = {
            "id": self.id,
            "of": _print(self.sentence),
            "choices": self.choices,
            "from": self.source,
            "answer": self.answer,
            "aside": self.set_aside,
        }
        return json.dumps({key: value for key, value in data.items() if value}, ensure_ascii=False)


def record_of(cell: str, sentence: str) -> tuple[RowRecord, bool] | None:
    """The record that a cell holds, and whether it belongs to the sentence in its row; None: it holds none."""
    try:
        data = json.loads(cell)
        record = RowRecord(
            id=str(data["id"]),
            sentence=sentence,
            choices=tuple(map(str, data.get("choices", ()))),
            source=str(data.get("from", "")),
            answer=str(data.get("answer", "")),
            set_aside=tuple(map(str, data.get("aside", ()))),
        )
        return record, data["of"] == _print(sentence)
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return None


@dataclass(frozen=True, slots=True, kw_only=True)
class TypedAnswer:
    """A row of the sheet as somebody left it."""

    id: str
    sentence: str
    choices: tuple[str, ...]
    text: str  # what stands in the answer cell, a choice in its own spelling; empty: nothing
    everywhere: bool = False  # for all workbooks of the folder
    fault: str = ""  # why it is no answer, a clause
    source: str = ""  # as in `RowRecord`, where the answer was not typed anew since
    set_aside: tuple[str, ...] = ()
    file: str = ""  # the copy it stands in

    def unlinked(self, fault: str) -> "TypedAnswer":
        """The answer of a cell with a link: what is no choice has this fault."""
        return self if self.text in self.choices or self.fault else replace(self, fault=fault)


def typed_answer(record: RowRecord, text: str, use: str, fault: str) -> TypedAnswer:
    """The answer of a row.

    Parameters
    ----------
    text, use : of the answer cell and of the one beside it
    fault : why the cell holds no answer, a clause; empty: it may be one
    """
    spelled = next((each for each in record.choices if same_words(each, text)), text.strip())
    taken = bool(spelled) and same_words(spelled, record.answer)
    return TypedAnswer(
        id=record.id,
        sentence=record.sentence,
        choices=record.choices,
        text=spelled,
        everywhere=same_words(use, THIS_FOLDER),
        fault=fault,
        source=record.source if taken else "",
        set_aside=record.set_aside,
    )


def same_words(one: str, other: str) -> bool:
    """Whether two texts say the same whatever their capitals, blanks and quotation marks."""
    return _words(one) == _words(other)


def _words(text: str) -> str:
    return " ".join(text.translate(_QUOTES).split()).casefold()


def _print(sentence: str) -> str:
    return checksum(_words(sentence))


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What all copies of a workbook together answer to a question."""

    id: str
    sentence: str
    choices: tuple[str, ...]
    text: str  # what the answer cell is to show; empty: nothing
    everywhere: bool = False
    trouble: str = ""  # why it cannot be obeyed, in a clause
    source: str = ""  # the copy it stands in; empty: the one that is written
    set_aside: tuple[str, ...] = ()

    @property
    def obeyed(self) -> str | None:
        """The answer that the workbook is to be read with."""
        return self.text if self.text and not self.trouble else None


def settled(
    own: Sequence[TypedAnswer], others: Sequence[TypedAnswer] = (), folder: Sequence[TypedAnswer] = ()
) -> dict[str, Answer]:
    """Question -> the answer of all copies; those that contradict each other are a trouble, and none counts.

    Parameters
    ----------
    own : of the copy that is written anew; once others have contradicted it, an answer in it settles that
    others : of other copies of the same workbook
    folder : of other workbooks, for all of their folder; they count where the workbook itself has no answer
    """
    ids = dict.fromkeys(each.id for each in (*own, *others, *folder))
    found = {}
    for one in ids:
        rows = [[each for each in group if each.id == one] for group in (own, others, folder)]
        if (answer := _settled(*rows)) is not None:
            found[one] = answer
    return found


def _settled(
    own: Sequence[TypedAnswer], others: Sequence[TypedAnswer], folder: Sequence[TypedAnswer]
) -> Answer | None:
    """The answer to one question; None: nobody has answered it."""
    aside = tuple(dict.fromkeys(text for each in own for text in each.set_aside))
    files = {each.file for each in (*others, *folder)}
    speaking = [each for each in own if (each.text or each.fault) and each.source not in files]
    speaking += [each for each in others if _speaks(each, files - {each.file}, aside)]
    if not speaking:
        speaking = [each for each in folder if _speaks(each, files - {each.file}, aside)]
    speaking.sort(key=lambda each: each not in own)
    first = speaking[0] if speaking else None
    faulty = next((each for each in speaking if each.fault), None)
    texts = list(dict.fromkeys(each.text for each in speaking if not each.fault))
    if first is None:
        return _answer(own[0], "", _AGAIN.format(_quoted(aside)), aside=aside) if aside else None
    if faulty is not None and (faulty in own or not texts):
        return _answer(faulty, faulty.text, faulty.fault, aside=aside)
    if len(texts) == 1:
        return _answer(first, texts[0], source="" if first in own else first.file, aside=aside)
    files = {each.file for each in speaking}
    trouble = _TWICE.format(_quoted(texts)) if len(files) == 1 else _AGAIN.format(_said_by(speaking))
    return _answer(first, "", trouble, aside=tuple(dict.fromkeys((*aside, *texts))))


_TWICE = "two rows of this question hold different answers, {}; answer it in one"
_AGAIN = "copies of the workbook answer it differently, {}; choose here which one holds"


def _speaks(each: TypedAnswer, files: Collection[str], aside: Collection[str]) -> bool:
    """Whether a row of another copy counts: it is not taken from one that is read too, and not set aside."""
    return bool(each.text or each.fault) and each.source not in files and each.text not in aside


def _answer(
    row: TypedAnswer, text: str, trouble: str = "", *, source: str = "", aside: tuple[str, ...] = ()
) -> Answer:
    return Answer(
        id=row.id,
        sentence=row.sentence,
        choices=row.choices,
        text=text,
        everywhere=row.everywhere and not source,
        trouble=trouble,
        source=source or (row.source if text == row.text else ""),
        set_aside=aside,
    )


def _quoted(texts: Sequence[str]) -> str:
    return ", ".join(f"«{each}»" for each in texts)


def _said_by(rows: Sequence[TypedAnswer]) -> str:
    return ", ".join(dict.fromkeys(f"«{each.text}» in {each.file}" for each in rows))
