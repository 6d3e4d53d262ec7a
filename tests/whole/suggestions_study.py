"""How often a code suggested from free text is right: coded rows of generated fleets, each held back and suggested as if it had none.

    python -m tests.whole.suggestions_study [--boats 200] [--seasons 6] [--seeds 501 502]

Prints for each column the rows, the precision of all suggestions, and at a stated confidence the precision and the share left uncoded. The
remarks are invented (`sample_fleet.notes`), some vague, some of another cause, and its phrases come again; real notes may do worse. The
confidence is chosen on the rows it is told of.
"""

import argparse
import tempfile
from pathlib import Path

import polars as pl

from pipelines.fits.code_learning import held_back
from pipelines.flow.code_suggestions import QUESTIONS, examples_of, noted_rows
from pipelines.flow.copies import current_copy
from pipelines.flow.taking import Wish, take_in
from pipelines.terms.settings import Settings
from sample_fleet.make import make_fleet

WANTED = 0.95


def predictions(boats: int, seasons: int, seed: int) -> pl.DataFrame:
    """Suggest each coded row of one fleet as if it had no code: `kind`, `column`, `given`, `code`, `confidence`."""
    with tempfile.TemporaryDirectory() as folder:
        ledger = Path(folder) / "fleet.duckdb"
        make_fleet(Path(folder) / "records", boats, seasons, seed)
        take_in(ledger, Wish((Path(folder) / "records",)), Settings())
        with current_copy(ledger, Settings()) as copy:
            told = []
            for question in QUESTIONS:
                examples = examples_of(noted_rows(copy, question), question, copy)
                told.append(held_back(examples).with_columns(kind=pl.lit(question.kind), column=pl.lit(question.column)))
            return pl.concat(told)


def score(told: pl.DataFrame) -> pl.DataFrame:
    """Return by column `rows`, `precision` of all, `least` confidence at which 95 % are right, `precision_at` it, share left `uncoded`."""
    rows = []
    for (kind, column), part in told.group_by("kind", "column", maintain_order=True):
        ordered = part.sort("confidence", descending=True).with_columns(right=pl.col("given") == pl.col("code"))
        ordered = ordered.with_columns(share=pl.col("right").cum_sum() / pl.int_range(1, pl.len() + 1))
        good = ordered.with_row_index("place", 1).filter(pl.col("share") >= WANTED)
        kept = int(good["place"].max() or 0) if good.height else 0  # type: ignore[arg-type]
        least = ordered["confidence"][kept - 1] if kept else None
        right = ordered["right"].head(kept).mean() if kept else None
        rows.append((kind, column, part.height, ordered["right"].mean(), least, right, 1 - kept / part.height))
    return pl.DataFrame(rows, schema=["kind", "column", "rows", "precision", "least", "precision_at", "uncoded"], orient="row")


def main(arguments: list[str] | None = None) -> None:
    """Print the study."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--boats", type=int, default=200)
    parser.add_argument("--seasons", type=int, default=6)
    parser.add_argument("--seeds", type=int, nargs="+", default=[501, 502])
    given = parser.parse_args(arguments)
    with pl.Config(tbl_cols=-1, tbl_rows=-1, float_precision=3):
        print(score(pl.concat([predictions(given.boats, given.seasons, seed) for seed in given.seeds])))


if __name__ == "__main__":
    main()
