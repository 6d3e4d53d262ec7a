"""A folder of clean CSV files, codes and ISO dates throughout, put straight onto a workbench without intake.

In: a folder of the sample fleet's generator made without mess. Out: a workbench with `accepted.*`.
"""

from pathlib import Path

import polars as pl

from pipelines.ledger.tables_from_terms import accepted_columns
from pipelines.ledger.workbench import Workbench, scratch
from pipelines.terms.causes import CAUSES, remedy_of
from pipelines.terms.components import CATALOGUE
from pipelines.terms.tables import RECORD_KINDS

YES_NO = {"yes": True, "no": False}


def bench_of(folder: Path) -> Workbench:
    """Return a workbench with every record of the folder accepted."""
    bench, first_row = scratch(), 0
    for kind in RECORD_KINDS:
        path = folder / f"{kind}.csv"
        if path.exists():
            rows = pl.read_csv(path, infer_schema=False)
            bench.put(f"accepted.{kind}", _typed(rows, kind, first_row))
            first_row += len(rows)
    _put_catalogue(bench)
    _put_cause_tree(bench)
    return bench


def _typed(rows: pl.DataFrame, kind: str, first_row: int) -> pl.DataFrame:
    columns = accepted_columns(RECORD_KINDS[kind])
    own = [name for name in rows.columns if name not in columns]
    rows = rows.with_columns(pl.int_range(first_row + 1, first_row + 1 + pl.len()).cast(pl.String).alias("row_id"))
    if own:
        rows = rows.with_columns(pl.struct(own).struct.json_encode().alias("extra"))
    return rows.select(
        [_cast(pl.col(name) if name in rows.columns else pl.lit(None, pl.String), word).alias(name) for name, word in columns.items()]
    )


def _cast(cell: pl.Expr, kind: str) -> pl.Expr:
    match kind:
        case "DATE":
            return cell.str.to_date("%Y-%m-%d")
        case "TIMESTAMP":
            return pl.coalesce(cell.str.to_datetime("%Y-%m-%d %H:%M", strict=False), cell.str.to_datetime("%Y-%m-%d", strict=False))
        case "DOUBLE":
            return cell.cast(pl.Float64)
        case "BIGINT":
            return cell.cast(pl.Float64).cast(pl.Int64)
        case "BOOLEAN":
            return cell.replace_strict(YES_NO, default=None, return_dtype=pl.Boolean)
        case _:
            return cell.cast(pl.String)


def _put_catalogue(bench: Workbench) -> None:
    built_in = pl.DataFrame(
        [
            {
                "component": part.code,
                "label": part.label,
                "system": part.system,
                "carried_by": part.carried_by,
                "safety": part.safety,
                "hidden": part.hidden,
                "wear_visible": part.wear_visible,
                "crew_can_fit": part.crew_can_fit,
                "clock": part.clock,
                "drives": ";".join(part.drives),
                "fuels": ";".join(part.fuels),
                "in_catalogue": True,
            }
            for part in CATALOGUE.values()
        ]
    )
    own = bench.frame("select component, carried_by, hidden from accepted.components")
    both = pl.concat([built_in.join(own, on="component", how="anti"), own.with_columns(pl.lit("hm").alias("clock"))], how="diagonal")
    named = bench.frame(
        "select distinct component from accepted.service_tickets union select distinct component from accepted.rescue_calls"
    )
    bench.put("accepted.catalogue", both.with_columns(pl.col("component").is_in(named["component"].to_list()).alias("named")))


def _put_cause_tree(bench: Workbench) -> None:
    tree = [(cause.code, cause.system, remedy_of(cause.code), cause.component, cause.effect.value) for cause in CAUSES.values()]
    bench.put("accepted.cause_tree", pl.DataFrame(tree, schema=["cause", "system", "remedy", "component", "effect"], orient="row"))
