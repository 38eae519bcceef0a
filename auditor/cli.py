"""The command line: parse, call one function, print, exit. Heavy libraries are imported inside."""

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from auditor import __version__
from auditor.endings import PATCHED
from auditor.errors import AuditorError, ProfileError, naming

if TYPE_CHECKING:
    from auditor.order.labels import Labels
    from auditor.profile.limits import Profile

app = typer.Typer(
    help="Audits the spreadsheets that plan a two-wire power-and-data control bus, and hands each "
    "workbook back annotated. It plans; local codes, the maker's instructions for the bus and a licensed "
    "practitioner decide.",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)
_UsageError: type[typer.BadParameter] = typer.BadParameter.__bases__[0]  # typer gives it no name of its own


def main() -> None:
    """Run a command; what stops it is one sentence and an exit code, never a traceback."""
    for stream in (sys.stdout, sys.stderr):
        stream.reconfigure(encoding="utf-8", errors="replace")  # type: ignore[union-attr]
    try:
        sys.exit(app(sys.argv[1:] or ["--help"], prog_name="auditor", standalone_mode=False))
    except _UsageError as problem:
        typer.echo(_usage_text(problem), err=True)
        sys.exit(2)
    except AuditorError as problem:
        typer.echo(_printable(str(problem)), err=True)
        sys.exit(problem.exit_code)
    except KeyboardInterrupt:
        typer.echo("stopped; the copies written so far are whole, the summary was not written", err=True)
        sys.exit(130)
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(0)


def _start_log() -> None:
    """Log what developers asked for in AUDITOR_LOG; a word that is no level asks for everything."""
    import logging

    wanted = os.environ.get("AUDITOR_LOG", "CRITICAL").upper()
    logging.basicConfig(level=logging.getLevelNamesMapping().get(wanted, logging.DEBUG), stream=sys.stderr)


def _usage_text(problem: typer.BadParameter) -> str:
    """A command that was not understood, in one sentence."""
    command = problem.ctx.command_path if problem.ctx else "auditor"
    what = _printable(problem.format_message()).rstrip(".").replace(". Did you mean ", ", did you mean ")
    what = what.removesuffix("?")
    return f"{command}: {what[:1].lower()}{what[1:]}; «{command} --help» lists what there is"


Paths = Annotated[list[Path], typer.Argument(help="workbooks, or folders that are searched to the bottom")]
ProfileOption = Annotated[
    str | None,
    typer.Option("--profile", metavar="NAME|FILE", help="the kind of bus; see «auditor profiles»"),
]


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(__version__)
        raise typer.Exit


@app.callback()
def _root(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="print the version")
    ] = False,
) -> None:
    _start_log()


@app.command()
def check(
    paths: Paths,
    profile: ProfileOption = None,
    out: Annotated[Path | None, typer.Option("--out", help="folder for what comes out [audited]")] = None,
    tries: Annotated[
        list[str] | None,
        typer.Option(
            "--try",
            metavar="KEY=VALUE",
            help="what if: compare and write nothing; ends with 0 whatever the verdicts; may be repeated",
        ),
    ] = None,
    seconds: Annotated[
        float,
        typer.Option("--seconds", min=0.1, help="how long one workbook may take [60]", show_default=False),
    ] = 60,
    memory: Annotated[
        float,
        typer.Option("--memory", metavar="GB", min=0.5, help="memory one may take [2]", show_default=False),
    ] = 2,
) -> None:
    """Audit workbooks and write annotated copies, a summary and results.jsonl.

    Exit code: 0 all jobs pass or need review, 1 a job fails, 2 the command could not be understood,
    3 a job was unreadable, a rule of ours crashed or something could not be written; 130 stopped.
    """
    from auditor import batch
    from auditor.console import Console

    if tries:
        _compare(paths, profile, tries)
        return
    folder = out or Path("audited")
    if profile is not None:
        _checked_profile(profile)
    bounds = batch.Bounds(seconds=seconds, bytes=int(memory * 1024**3))
    console = Console()
    with console.progress() as progress:
        done = batch.check(paths, folder, batch.Options(profile=profile, bounds=bounds), progress)
    console.closing(done, folder)
    sys.exit(done.exit_code)


@app.command()
def order(
    paths: Annotated[
        list[Path], typer.Argument(metavar="OUT|PATH", help="folders that «check» wrote, or workbooks")
    ],
    profile: ProfileOption = None,
    out: Annotated[
        Path, typer.Option("--out", metavar="FILE", help="the order workbook; a CSV goes beside it")
    ] = Path("order.xlsx"),
    labels: Annotated[
        Path | None,
        typer.Option(
            "--labels",
            metavar="FILE",
            help="also write two labels a pull, in the order of the cut lists; a CSV goes beside them",
        ),
    ] = None,
) -> None:
    """Write one order over many jobs: reels, controllers, supplies; pooled cut lists; a CSV beside it."""
    from auditor import batch
    from auditor.batch.output import write_whole
    from auditor.console import Console
    from auditor.order.combine import make_order

    _to_be_written(out, "the order is", "--out")
    if labels is not None:
        _to_be_written(labels, "the labels are", "--labels")
        if labels.with_suffix("") == out.with_suffix(""):
            raise AuditorError(f"{labels} is the order; choose another name with --labels")
    if profile is not None:
        _checked_profile(profile)
    console = Console()
    with console.progress() as progress:
        made = make_order(paths, batch.Options(profile=profile), progress)
    workbook = write_whole(out, made.workbook)
    lines = write_whole(out.with_suffix(".csv"), made.csv.encode("utf-8-sig"))
    console.passed_over(made.passed_over)
    for sentence in made.warnings:
        typer.echo(f"note        {_printable(sentence)}")
    jobs = len(made.audits)
    typer.echo(f"{jobs} job{'s' * (jobs != 1)} in {_printable(str(workbook))} and {_printable(str(lines))}")
    if labels is not None:
        _write_labels(labels, made.labels)
    if any(audit.problem for audit in made.audits):
        sys.exit(3)


@app.command()
def layout(
    workbooks: Annotated[list[Path], typer.Argument(help="a workbook, or annotated copies with answers")],
    out: Annotated[
        Path | None,
        typer.Option(
            "--out", metavar="FILE", help="where to write the layout; without it the layout is only shown"
        ),
    ] = None,
    into: Annotated[
        Path | None,
        typer.Option("--into", metavar="FOLDER", help="write a layout for each workbook into this folder"),
    ] = None,
) -> None:
    """Show how each sheet of a workbook is understood, column by column; with --out write it as JSON.

    Of an annotated copy the answers on its sheet «Questions» are obeyed, and what a layout cannot hold of them is
    said. Keep the JSON as NAME.layout.json beside the workbook, in its folder or above it: «check» then reads that
    file, or any workbook with the same headings, that way.
    """
    from auditor.batch.office_layouts import contradiction, office_layout, told
    from auditor.batch.output import write_whole
    from auditor.batch.work import headings_files, own_headings
    from auditor.errors import AuditorError
    from auditor.intake import write_layout
    from auditor.layout_text import layout_lines

    if out is not None and len(workbooks) > 1:
        raise AuditorError("--out writes one layout: name one workbook, or a folder with --into")
    found = [office_layout(each, own_headings(headings_files(each.parent))) for each in workbooks]
    for each in found if into is None else ():
        for line in layout_lines(each.layout):
            typer.echo(_printable(line))
    if into is not None and (two := contradiction(found)):
        raise AuditorError(f"nothing is written into {into}: {two}")
    targets = [out] if out is not None else [into / each.file for each in found] if into is not None else []
    for each, target in zip(found, targets, strict=False):
        target.parent.mkdir(parents=True, exist_ok=True)
        typer.echo(_printable(f"wrote {write_whole(target, write_layout(each.layout).encode())}{told(each)}"))


@app.command()
def strip(
    workbook: Annotated[Path, typer.Argument(help="an annotated workbook")],
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FILE", help="[NAME.stripped.EXT beside it]")
    ] = None,
) -> None:
    """Give an annotated workbook back without our columns and sheets; says which typed answers go with them."""
    from auditor.annotate import Workbook
    from auditor.batch.output import write_whole
    from auditor.batch.snapshot import read_snapshot
    from auditor.intake.formats.cells import Format
    from auditor.intake.formats.guard import opened

    content = read_snapshot(workbook, listed=False)
    with naming(workbook.name):
        file = opened(content)
    if file.package is None or file.format is not Format.XLSX:
        *some, last = PATCHED
        raise AuditorError(
            f"{workbook.name}: only {', '.join(some)} and {last} workbooks can be stripped, and this file "
            f"is .{file.format}; go back to the annotated copy or to the original"
        )
    target = out or workbook.with_name(f"{workbook.stem.removesuffix('.audited')}.stripped{workbook.suffix}")
    if target.exists():
        raise AuditorError(f"{target} is there already; choose another name with --out")
    with naming(workbook.name):
        annotated = Workbook(file.package)
        plain = annotated.strip()
    if plain == content:
        typer.echo(f"{_printable(workbook.name)} carries no annotation; nothing written")
        return
    said = (f"wrote {write_whole(target, plain)}", *annotated.kept, *annotated.gone())
    typer.echo("\n".join(map(_printable, said)))


@app.command()
def profiles() -> None:
    """List the shipped profiles with their limits and where each comes from."""
    from auditor.profile.load import load_profile, shipped_names
    from auditor.profile.text import profile_lines

    for name in shipped_names():
        typer.echo("\n".join(profile_lines(load_profile(name))) + "\n")


@app.command()
def blank(
    out: Annotated[Path, typer.Option("--out", metavar="FILE", help="where to write it")] = Path(
        "schedule.xlsx"
    ),
    language: Annotated[
        str, typer.Option("--language", metavar="CODE", help="de, en, es or fr", show_default=True)
    ] = "en",
    units: Annotated[str, typer.Option("--units", metavar="UNIT", help="ft or m, of its lengths")] = "ft",
) -> None:
    """Write a starter workbook: device list, pull schedule, cable types, controllers."""
    from auditor.batch.output import write_whole
    from auditor.report import blank as starter

    known = starter.languages()
    if language not in known:
        listed = ", ".join(f"{code} ({name})" for code, name in known.items())
        raise AuditorError(f"--language: there is no starter workbook in {language!r}; there is {listed}")
    if units not in starter.units(language):
        listed = " or ".join(starter.units(language))
        raise AuditorError(f"--units: {units!r} is no length unit of a starter workbook; take {listed}")
    if out.exists():
        raise AuditorError(f"{out} is there already; choose another name with --out")
    typer.echo(f"wrote {write_whole(out, starter.write_blank(units, language))}")


def _to_be_written(file: Path, what: str, option: str) -> None:
    if file.suffix.lower() != ".xlsx":
        raise AuditorError(f"{file}: {what} an .xlsx workbook; a CSV is written beside it")
    for target in (file, file.with_suffix(".csv")):
        if target.exists():
            raise AuditorError(f"{target} is there already; choose another name with {option}")


def _write_labels(file: Path, made: "Labels") -> None:
    from auditor.batch.output import write_whole
    from auditor.order.labels import labels_csv
    from auditor.order.labels_sheet import write_labels

    sheet = write_whole(file, write_labels(made))
    rows = write_whole(file.with_suffix(".csv"), labels_csv(made.pulls).encode("utf-8-sig"))
    for sentence in made.left_out:
        typer.echo(f"note        {_printable(sentence)}")
    count = len(made.pulls)
    typer.echo(
        f"labels for {count:,} pull{'s' * (count != 1)} in {_printable(str(sheet))} and {_printable(str(rows))}"
    )


def _compare(paths: list[Path], profile: str | None, tries: list[str]) -> None:
    from auditor import batch
    from auditor.profile.load import DEFAULT, load_profile
    from auditor.whatif import comparison, parse_changes

    changes = parse_changes(tries)
    load_profile(profile or DEFAULT)  # what is wrong from here on, a change is to blame for
    try:
        load_profile(profile or DEFAULT, changes.fields)
    except ProfileError as problem:
        raise ProfileError(problem.what, "--try") from None
    silent: batch.Progress = lambda done, total, job: None  # noqa: E731
    before = batch.audits_only(paths, batch.Options(profile=profile), silent)
    tried = batch.Options(profile=profile, overrides=changes.fields, cables=changes.cables)
    known = {pull.cable for audit in before for pull in audit.pulls}
    for cable in changes.cables:
        if cable not in known:
            names = ", ".join(sorted(name for name in known if name)) or "none"
            raise AuditorError(f"--try: no job here has a cable {cable!r}; they have {names}")
    after = batch.audits_only(paths, tried, silent)
    for line in comparison(before, after, changes):
        typer.echo(_printable(line))
    if any(audit.problem for audit in after):
        sys.exit(3)


def _checked_profile(name: str) -> "Profile":
    from auditor.profile.load import load_profile

    return load_profile(name)


def _printable(text: str) -> str:
    from auditor.console import printable

    return printable(text)
