"""The bytes of a file to its grids, by what it holds and not by its name.

In: `Source` and what a header looks like. Out: one `Grid` a table.
Elsewhere: each form (`delimited`, `workbooks`, `columnar`), which kind a grid is (`recognise`).
"""

from pipelines.intake.columnar import is_json_lines, is_parquet, read_json_lines, read_parquet
from pipelines.intake.decoding import Source, decode
from pipelines.intake.delimited import read_delimited
from pipelines.intake.grids import Grid, Score
from pipelines.intake.workbooks import is_workbook, read_workbook


def open_grids(source: Source, score: Score) -> list[Grid]:
    """Read every table of a file as text.

    Parameters
    ----------
    source
        The file.
    score
        How many cells of a row are known names; finds the delimiter and the header.

    Raises
    ------
    UnreadableFile
        If the file is not what its first bytes say, or is no table at all.
    """
    if is_workbook(source.data):
        return read_workbook(source, score)
    if is_parquet(source.data):
        return [read_parquet(source)]
    text = decode(source)
    return [read_json_lines(source.name, text) if is_json_lines(text) else read_delimited(source.name, text, score)]
