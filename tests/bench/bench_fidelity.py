"""What a workbook loses when it is annotated, and when openpyxl loads and saves it: the same comparison."""

import io
import warnings


def main() -> None:
    import openpyxl

    from tests.annotate import books
    from tests.annotate.calls import annotate
    from tests.annotate.compare import lost, parts
    from tests.annotate.test_faithful import SOURCES
    from tests.annotate.test_producers import CASES

    warnings.simplefilter("ignore")
    cases = {name: (make, 7, widened) for name, (make, widened) in SOURCES.items()} | CASES
    print(f"{'workbook':34}{'parts':>6}  differences: annotated, loaded and saved by openpyxl")
    for name, (make, first, widened) in cases.items():
        source = make()
        annotated = annotate(source, [books.columns(books.table())], books.scratch())
        ours = lost(source, annotated, [books.table()], {"Pulls": first}, widened)
        out = io.BytesIO()
        try:
            openpyxl.load_workbook(io.BytesIO(source), keep_vba=True).save(out)
            theirs = lost(source, out.getvalue(), [books.table()], {"Pulls": first}, widened)
            shown = f"{len(theirs)}, {sum(each.endswith('is gone') for each in theirs)} of them gone"
        except Exception as fault:
            shown = f"not at all: {type(fault).__name__}"
        print(f"{name:34}{len(parts(source)):>6}  {len(ours)}, {shown}")


if __name__ == "__main__":
    main()
