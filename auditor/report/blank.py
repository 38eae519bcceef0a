"""The starter workbook: empty tables that audit without any mapping once they are filled in.

Its words stand in `templates/`, a file a language, all of one shape.
"""

import json
from typing import Any

from auditor.report.page.look import HEAD, INK, LINE, Look, new_workbook
from auditor.resources import shipped

HEADER_ROW = 3  # counted from 0, the same in every table
DATA_ROWS = 500  # the rows that carry the lists and the help


def languages() -> dict[str, str]:
    """The languages that a starter workbook is written in: code -> its own name for itself."""
    return {
        code: str(_template(code)["language"])
        for code in sorted(path.name.split(".")[1] for path in shipped("templates").glob("blank.*.json"))
    }


def units(language: str) -> tuple[str, ...]:
    """The length units that its headings can name."""
    return tuple(_template(language)["units"])


def write_blank(length_unit: str = "ft", language: str = "en") -> bytes:
    """A starter workbook: how to fill it in, devices, pulls, cable types, controllers.

    Parameters
    ----------
    length_unit : "ft" (with in, AWG, pF/ft) or "m" (with mm, mm2, pF/m), for the headings
    language : one of `languages`, for all its words

    Returns
    -------
    an .xlsx file; the same unit and language give the same bytes

    Raises
    ------
    FileNotFoundError : another language
    KeyError : another unit
    """
    template = _template(language)
    sheets = _in_units(template["sheets"], template["units"][length_unit])
    workbook, held = new_workbook()
    look = Look(workbook, length_unit)
    page = workbook.add_worksheet(template["how_to"]["name"])
    below = _write_job(page, template["how_to"], look)
    below = _write_steps(page, below, template, look)
    _write_columns(page, below, sheets, look)
    _set_print(page, template["page"], landscape=False)
    for sheet in sheets:
        table = workbook.add_worksheet(sheet["name"])
        _write_table(table, sheet, template["below_title"], look)
        _set_print(table, template["page"], landscape=True)
    workbook.close()
    return held.getvalue()


def _template(language: str) -> dict[str, Any]:
    template: dict[str, Any] = json.loads(shipped("templates", f"blank.{language}.json").read_text("utf-8"))
    return template


def _in_units(sheets: list[dict[str, Any]], units: dict[str, str]) -> list[dict[str, Any]]:
    return [
        sheet
        | {"columns": [item | {"header": item["header"].format_map(units)} for item in sheet["columns"]]}
        for sheet in sheets
    ]


def _write_job(page: Any, how_to: dict[str, Any], look: Look) -> int:
    """The job's own data; returns the row below."""
    for column, width in enumerate((15, 32, 64)):
        page.set_column(column, column, width, look.plain)
    page.set_row(0, 28)
    page.write_string(0, 0, how_to["title"], look.title)
    labels = [*how_to["job"], how_to["profile"]]
    entry = look.format(border=1, border_color=LINE, align="left", num_format="d mmm yyyy")
    for row, label in enumerate(labels, start=2):
        page.write_string(row, 0, label, look.format(bold=True))
        page.write_blank(row, 1, None, entry)
    profile_row = 1 + len(labels)
    names = sorted(path.stem for path in shipped("schemas").glob("*.json") if ".schema" not in path.name)
    rule = {"validate": "list", "source": names, "input_title": how_to["profile"]}
    page.data_validation(profile_row, 1, profile_row, 1, rule | {"input_message": how_to["profile_help"]})
    return profile_row + 2


def _write_steps(page: Any, row: int, template: dict[str, Any], look: Look) -> int:
    how_to = template["how_to"]
    for number, step in enumerate(how_to["steps"], start=1):
        page.write_string(row, 0, f"{template['step']} {number}", look.format(bold=True))
        page.merge_range(row, 1, row, 2, step, look.format(text_wrap=True))
        page.set_row(row, 28 if len(step) > 110 else 15)
        row += 1
    caution = look.format(text_wrap=True, bold=True, border=2, border_color=INK, valign="vcenter")
    page.merge_range(row + 1, 0, row + 1, 2, how_to["caution"], caution)
    page.set_row(row + 1, 36)
    return row + 3


def _write_columns(page: Any, row: int, sheets: list[dict[str, Any]], look: Look) -> None:
    """What belongs in each column, a sentence each: a heading alone in its cell would read as a label, one
    with its unit as what the workbook says of all its lengths."""
    for sheet in sheets:
        page.merge_range(row, 0, row, 2, sheet["title"], look.format(bold=True, bg_color=HEAD))
        for offset, column in enumerate(sheet["columns"], start=1):
            strong, plain = look.format(bold=True), look.format(text_wrap=True)
            says = (strong, column["header"].partition(" (")[0], plain, f" – {column['help']}")
            page.merge_range(row + offset, 1, row + offset, 2, "", plain)
            page.set_row(row + offset, 28 if len("".join(says[1::2])) > 110 else 15)
            page.write_rich_string(row + offset, 1, *says, plain)
        row += len(sheet["columns"]) + 2


def _write_table(page: Any, sheet: dict[str, Any], below_title: str, look: Look) -> None:
    columns = sheet["columns"]
    page.set_row(0, 28)
    page.write_string(0, 0, sheet["title"], look.title)
    page.write_string(1, 0, below_title, look.muted)
    page.set_row(HEADER_ROW, 44)
    first, last, right = HEADER_ROW + 1, HEADER_ROW + DATA_ROWS, len(columns) - 1
    for index, column in enumerate(columns):
        numeric = "format" in column
        cell = {
            "num_format": column.get("format", "General"),
            "align": "right" if numeric else "left",
            "indent": 1,
        }
        page.set_column(index, index, column["width"], look.format(**cell))
        page.write_string(HEADER_ROW, index, column["header"], look.head(number=numeric, indented=True))
        page.data_validation(first, index, last, index, _validation(column))
    ruled = look.workbook.add_format({"bottom": 1, "bottom_color": LINE})
    filled = f"=COUNTA($A{first + 1}:${chr(ord('A') + right)}{first + 1})>0"
    page.conditional_format(first, 0, last, right, {"type": "formula", "criteria": filled, "format": ruled})
    page.freeze_panes(first, 1)
    page.repeat_rows(HEADER_ROW)


def _validation(column: dict[str, Any]) -> dict[str, Any]:
    """The list of a column, if it has one, and its help, shown when a cell is chosen."""
    rule = {
        "validate": "any",
        "input_title": column["header"][:32],  # as long as the file format lets it be
        "input_message": column["help"],
    }
    if "list" in column:
        rule |= {"validate": "list", "source": column["list"], "error_type": "warning"}
    elif "list_from" in column:
        names = f"='{column['list_from']}'!$A${HEADER_ROW + 2}:$A${HEADER_ROW + 1 + DATA_ROWS}"
        rule |= {"validate": "list", "source": names, "error_type": "warning"}
    return rule


def _set_print(page: Any, page_of: str, *, landscape: bool) -> None:
    if landscape:
        page.set_landscape()
    page.fit_to_pages(1, 0 if landscape else 1)
    page.set_margins(left=0.5, right=0.5, top=0.6, bottom=0.7)
    page.set_footer(f"&L&8&F&C&8{page_of}&R&8&A")
