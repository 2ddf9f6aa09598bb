"""catalog check, export, revisions, diff, propose, report; and the steps of `steps`."""

import argparse
from pathlib import Path
from typing import Final

from service.command_line.kinds import Verbs, add_data, add_note, verbs_of
from service.command_line.steps import add_steps

REVISION: Final = "`current`, an id, or its first 8 or more hex digits"
SECTIONS: Final = (
    "rows",
    "doubts",
    "changes",
    "newly-refused",
    "newly-allowed",
    "target-changed",
    "tooling-changed",
    "cautions-changed",
    "grounds-changed",
    "refused-otherwise",
    "ratings",
    "coverage-lost",
    "coverage-gained",
    "converted",
)


def add_catalog(commands: Verbs) -> None:
    """Add the commands for tables and revisions."""
    verbs = verbs_of(commands.add_parser("catalog", help="check, export and publish tables"))
    check = verbs.add_parser("check", help="say everything that is wrong with tables")
    check.add_argument("folder", type=Path, metavar="FOLDER", help="one CSV file a table")
    check.set_defaults(run=_check)
    _add_export(verbs)
    revisions = verbs.add_parser("revisions", help="every stored revision and its state")
    revisions.add_argument("--json", action="store_true", help="as JSON")
    add_data(revisions)
    revisions.set_defaults(run=_revisions)
    _add_propose(verbs)
    _add_report(verbs)
    diff = verbs.add_parser("diff", help="rows that differ between two revisions")
    diff.add_argument("before", metavar="A", help=REVISION)
    diff.add_argument("after", metavar="B", help=REVISION)
    diff.add_argument("--table", metavar="T", help="of one table alone")
    diff.add_argument("--json", action="store_true", help="as JSON")
    add_data(diff)
    diff.set_defaults(run=_diff)
    add_steps(verbs)


def _add_export(verbs: Verbs) -> None:
    export = verbs.add_parser("export", help="write a revision out")
    source = export.add_mutually_exclusive_group()
    source.add_argument(
        "--from", dest="folder", type=Path, metavar="FOLDER", help="tables, else the shipped"
    )
    source.add_argument("--data", type=Path, metavar="FOLDER", help="a stored revision, from here")
    export.add_argument("--revision", metavar="ID", help=f"which of the store: {REVISION}")
    where = export.add_mutually_exclusive_group()
    where.add_argument(
        "--to",
        type=Path,
        default=Path("catalog-export"),
        metavar="FOLDER",
        help="folder for the canonical files and CSV, catalog-export unless given",
    )
    where.add_argument("--sqlite", type=Path, metavar="FILE", help="write one SQLite file instead")
    where.add_argument("--xlsx", type=Path, metavar="FILE", help="write one workbook instead")
    export.add_argument("--force", action="store_true", help="write over an export that is there")
    export.set_defaults(run=_export)


def _add_propose(verbs: Verbs) -> None:
    propose = verbs.add_parser(
        "propose", help="look at tables, and keep them with the report on what they change"
    )
    propose.add_argument(
        "files",
        type=Path,
        nargs="+",
        metavar="FILE",
        help="CSV files named after their tables, one XLSX workbook, or a folder of them",
    )
    propose.add_argument(
        "--base", metavar="REVISION", help=f"take all other tables from it: {REVISION}"
    )
    propose.add_argument("--validate-only", action="store_true", help="look, and store nothing")
    add_note(propose)
    add_data(propose)
    propose.set_defaults(run=_propose)


def _add_report(verbs: Verbs) -> None:
    report = verbs.add_parser("report", help="what a revision changes against the active one")
    report.add_argument("revision", metavar="REVISION", help=REVISION)
    report.add_argument("--html", type=Path, metavar="FILE", help="write it as a page to print")
    report.add_argument(
        "--json", type=Path, metavar="FILE", help="write it whole; its sha256 is the digest"
    )
    report.add_argument("--section", choices=SECTIONS, help="tell all of one part")
    add_data(report)
    report.set_defaults(run=_report)


def _check(options: argparse.Namespace) -> int:
    from service.tables import check

    return check(options.folder)


def _export(options: argparse.Namespace) -> int:
    from service.desk.telling import ended
    from service.exporting import Kind, export

    stored = options.data, options.revision
    target: Path = options.sqlite or options.xlsx or options.to
    kind: Kind = "sqlite" if options.sqlite else "xlsx" if options.xlsx else "folder"
    return ended(export, options.folder, target, kind, force=options.force, stored=stored)


def _revisions(options: argparse.Namespace) -> int:
    from service.desk.reading import list_revisions
    from service.desk.telling import ended

    return ended(list_revisions, options.data, as_json=options.json)


def _diff(options: argparse.Namespace) -> int:
    from service.desk.reading import diff
    from service.desk.telling import ended

    asked = options.before, options.after, options.table
    return ended(diff, options.data, *asked, as_json=options.json)


def _propose(options: argparse.Namespace) -> int:
    from service.desk.proposing import propose
    from service.desk.telling import ended

    asked = options.files, options.base, options.note
    return ended(propose, options.data, *asked, validate_only=options.validate_only)


def _report(options: argparse.Namespace) -> int:
    from service.desk.reporting import report
    from service.desk.telling import ended

    asked = options.revision, options.section
    return ended(report, options.data, *asked, html=options.html, json=options.json)
