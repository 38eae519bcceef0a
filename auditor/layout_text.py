"""How a workbook was understood, in lines for the console."""

from collections.abc import Iterator

from auditor.intake import Layout
from auditor.job.field_words import word_of

UNREAD = "not read"


def layout_lines(layout: Layout) -> Iterator[str]:
    """Sheet by sheet and column by column: what it is, why, and a sample of what stands there."""
    for table in layout.tables:
        rows = " and ".join(str(row) for row in table.heading_rows)
        kind = table.kind.value if table.kind else UNREAD
        starts = f"headings in row {rows}" if rows else f"no headings, from row {table.first_row}"
        yield f"{table.sheet}: {kind}, {starts}"
        width = max((len(column.heading) for column in table.columns), default=0)
        for column in table.columns:
            unit = f" [{column.unit}]" if column.unit else ""
            what = f"{word_of(column.field)}{unit}" if table.kind and column.field else UNREAD
            sample = " | ".join(column.sample)
            reason = column.reason.removeprefix(UNREAD).lstrip(":; ") if what == UNREAD else column.reason
            start = f"  {column.column:<3} {column.heading:<{width}}  {what:<24}"
            yield f"{start} {reason}  e.g. {sample}".rstrip().removesuffix("  e.g.")
    shown = {table.sheet for table in layout.tables}
    for name in (name for name in layout.sheets_without_table if name not in shown):
        yield f"{name}: no table found"
