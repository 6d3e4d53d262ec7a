"""What is made of the records whenever a version is published: codes, lives, estimates. No page and no question makes them again.

In: a workbench with the accepted records as written. Out: the schemas `accepted` and `derived` on it.
Elsewhere: each step (`intake.coding`, `lives`, `estimating`), who calls this (`copies`).
"""

import polars as pl

from pipelines.flow import estimating
from pipelines.intake.coding import coded
from pipelines.intake.mapping import mapping_from
from pipelines.ledger.workbench import Workbench
from pipelines.ledger.written import SCHEMA, apply_codes, written_words
from pipelines.lives.lives import derive
from pipelines.terms.scope import Scope
from pipelines.terms.settings import Settings


def build(bench: Workbench, settled: pl.DataFrame, mapping_text: str, settings: Settings) -> None:
    """Make codes, lives and the estimates of the whole fleet on a workbench.

    Parameters
    ----------
    bench
        With `written.<kind>`.
    settled
        Words that people settled: `list`, `word`, `code`.
    mapping_text
        The mapping kept with the ledger; empty: none.
    settings
        Kept beside the estimates, so that they answer only for these.
    """
    vocabulary = coded(written_words(bench), bench.frame(f"select * from {SCHEMA}.components"), settled, mapping_from(mapping_text))
    apply_codes(bench, vocabulary.words)
    bench.put("accepted.catalogue", vocabulary.catalogue)
    bench.put("accepted.cause_tree", vocabulary.cause_tree)
    derive(bench, None, settings)
    _estimate(bench, settings)


def _estimate(bench: Workbench, settings: Settings) -> None:
    bench.put("derived.made_with", pl.DataFrame({"settings": [repr(settings)]}))
    matter = estimating.matter_of(bench, Scope())
    bench.put("derived.fits", estimating.fit_rows(matter, (), "hours", settings))
    bench.put("derived.intervals", estimating.interval_rows_of(matter, (), settings)[0])
