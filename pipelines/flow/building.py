"""What is made of the records whenever a version is published: codes, lives, estimates. No page and no question makes them again.

In: a workbench with the accepted records as written. Out: the schemas `accepted` and `derived` on it.
Elsewhere: each step (`intake.coding`, `lives`, `estimating`), who calls this (`copies`).
"""

from dataclasses import replace

import polars as pl

from pipelines.advice.visit_plan import Manner
from pipelines.flow import estimating
from pipelines.flow.code_suggestions import make_suggestions
from pipelines.flow.sources import day_of
from pipelines.intake.coding import coded
from pipelines.intake.mapping import mapping_from
from pipelines.ledger.workbench import Workbench
from pipelines.ledger.written import SCHEMA, apply_codes, written_words
from pipelines.lives.lives import derive
from pipelines.terms.scope import Scope
from pipelines.terms.settings import Settings

VISITS_WITHIN_DAYS, FURTHER_DAYS = 120, 90
"""How far ahead the stored visits are told, and how much further jobs are looked for, so that the last visits are well planned too."""
DUE_WITHIN_DAYS = 30
"""How far ahead the due list looks where nothing else is asked for."""
METHODS = 4
"""Goes up whenever lives or estimates are made differently, so that rows of an older program are not told as today's."""


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
    make_suggestions(bench)
    derive(bench, None, settings)
    make_estimates(bench, settings)


def made_with(settings: Settings) -> str:
    """Return what tells estimates made with these settings by this program from all others.

    What is only read when the due list or spare boats are told changes no estimate.
    """
    return f"{METHODS} {replace(settings, yard_hours_a_week=0.0, next_visit_days=0, downtime_day_h=24.0)!r}"


def make_estimates(bench: Workbench, settings: Settings) -> None:
    """Make fits, verdicts, due list and shelf of the whole fleet; nothing where no record has a date."""
    bench.put("derived.made_with", pl.DataFrame({"settings": [made_with(settings)]}))
    if day_of(bench) is None:
        return
    matter = estimating.matter_of(bench, Scope())
    wide, believed = estimating.told_apart(matter, settings)
    verdicts, _ = estimating.verdicts_of(believed, wide, settings)
    stocked = estimating.shelf_of(believed, wide, settings)
    tasks = estimating.tasks_of(believed, wide)
    manner = Manner(settings.put_back)
    made = {
        "fits": estimating.fit_rows(matter, (), "hours", settings),
        "intervals": verdicts,
        "due": tasks,
        "visit_jobs": estimating.visit_jobs_of(believed, wide, tasks, VISITS_WITHIN_DAYS + FURTHER_DAYS, manner),
        "part_chances": estimating.chances_of(believed, wide),
        **stocked.tables,
    }
    for name, rows in made.items():
        bench.put(f"derived.{name}", rows)
