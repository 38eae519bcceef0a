"""The words of the reader: one file a language, with headings, single words, labels and lists.

A new word is one entry in a file, a new language one file more. `said` is how strongly a heading speaks
for each field, `says` whether it says one, `candidates` what a whole heading names, `matcher` finds the
phrases of a list in a text.
"""

from auditor.intake.words.files import Language, languages
from auditor.intake.words.fold import fold, key, spread, without_accents
from auditor.intake.words.headings import (
    MAX_HEADING,
    OWN,
    OWN_LANGUAGES,
    OWN_WITH_COMMA,
    SHIPPED,
    UNITS_OF_FIELD,
    Heading,
    OwnHeadings,
    candidates,
    decimal_comma,
    fields_of,
    heading,
    is_known,
    kinds,
    known_headings,
    label,
    own_kinds,
    remembered,
    suggestion,
    vocabulary,
)
from auditor.intake.words.lists import languages_in_list, list_names, matcher, word_list
from auditor.intake.words.previous import says_previous
from auditor.intake.words.roles import OTHER
from auditor.intake.words.strengths import SAYS, languages_of, said, says

__all__ = [
    "MAX_HEADING",
    "OTHER",
    "OWN",
    "OWN_LANGUAGES",
    "OWN_WITH_COMMA",
    "SAYS",
    "SHIPPED",
    "UNITS_OF_FIELD",
    "Heading",
    "Language",
    "OwnHeadings",
    "candidates",
    "decimal_comma",
    "fields_of",
    "fold",
    "heading",
    "is_known",
    "key",
    "kinds",
    "known_headings",
    "label",
    "languages",
    "languages_in_list",
    "languages_of",
    "list_names",
    "matcher",
    "own_kinds",
    "remembered",
    "said",
    "says",
    "says_previous",
    "spread",
    "suggestion",
    "vocabulary",
    "without_accents",
    "word_list",
]
