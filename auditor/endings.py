"""Endings of the names of files that can be read: the one place where they stand."""

from collections.abc import Mapping

ENDINGS: Mapping[str, tuple[str, ...]] = {  # by format; those of one format are the same inside
    "xlsx": (".xlsx", ".xlsm", ".xltx", ".xltm"),
    "xlsb": (".xlsb",),
    "xls": (".xls", ".xlt"),
    "ods": (".ods", ".ots"),
    "csv": (".csv", ".tsv", ".txt"),
}
ALL_ENDINGS = tuple(ending for endings in ENDINGS.values() for ending in endings)
IN_FOLDERS = tuple(ending for ending in ALL_ENDINGS if ending != ".txt")  # such a file is mostly a note
PATCHED = ENDINGS["xlsx"]  # annotated in place; the copy of any other is a new .xlsx
