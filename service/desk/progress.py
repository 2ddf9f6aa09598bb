"""How far long work has come, on a terminal that somebody looks at."""

from collections.abc import Iterator
from contextlib import contextmanager

from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

from catalog.impact import Progress as Told
from catalog.impact import untold
from service.desk.telling import Paper


@contextmanager
def replaying() -> Iterator[Told]:
    """What to tell of a replay while the block runs; nothing where nobody looks.

    On the error stream, so that the output may go into a file and the bar does not.
    """
    paper = Paper(stderr=True)
    if not paper.is_terminal:
        yield untold
        return
    columns = (
        TextColumn("replaying what the tables can answer"),
        BarColumn(bar_width=20),
        MofNCompleteColumn(),
        TimeRemainingColumn(),
    )
    with Progress(*columns, console=paper, transient=True) as bar:
        task = bar.add_task("", total=None)

        def told(done: int, of: int) -> None:
            bar.update(task, completed=done, total=of)

        yield told
