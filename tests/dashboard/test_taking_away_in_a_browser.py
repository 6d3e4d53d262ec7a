"""What is taken away by a real browser: tables and pictures as files, the package, a long table by the rows looked at."""

import io
import json
import os
import subprocess
import sys
import zipfile
from collections.abc import Iterator
from pathlib import Path

import polars as pl
import pytest
from playwright.sync_api import Browser, Page, expect

from dashboard import taking_away
from dashboard.readings import Scope
from tests.support.browser import IN_A_BROWSER, THIS_MACHINE, Watched, free_port, waited_for
from tests.support.screens import showing

pytestmark = IN_A_BROWSER
ROWS = 100_000
LONG_TABLE = f"""
import polars as pl
from dashboard.controls.showing import table
rows = pl.int_range({ROWS}, eager=True)
table(pl.DataFrame({{"number": rows, "hours": rows / 7, "note": pl.Series([f"note {{row}} of a boat" for row in rows])}}), {{}}, "long")
"""


def taken(page: Page, name: str) -> bytes:
    """Touch a button and return the file that comes."""
    with page.expect_download(timeout=120_000) as waiting:
        page.get_by_role("button", name=name).first.click()
    return Path(waiting.value.path()).read_bytes()


def test_a_table_leaves_in_every_form_as_the_page_has_it(watched: Watched, address: str, small_ledger: Path):
    with showing(small_ledger):
        rows = taking_away.table("stock", Scope()).rows
    watched.open(f"{address}/take-the-figures?table=stock")
    page = watched.page
    csv = pl.read_csv(taken(page, "Take stock.csv"), infer_schema_length=None)
    assert csv["mean_demand"].to_list() == rows["mean_demand"].to_list()
    page_of = {name: taken(page, name) for name in ("XLSX", "Parquet", "JSON")}
    assert pl.read_parquet(io.BytesIO(page_of["Parquet"])).equals(rows)
    assert pl.read_excel(io.BytesIO(page_of["XLSX"]))["mean_demand"].to_list() == rows["mean_demand"].to_list()
    told = json.loads(page_of["JSON"])
    assert [row["mean_demand"] for row in told["rows"]] == rows["mean_demand"].to_list()
    assert list(told)[:4] == ["as_of", "ledger_version", "records", "left_out"]


def test_everything_leaves_as_one_zip(watched: Watched, address: str):
    watched.open(f"{address}/take-the-figures")
    held = zipfile.ZipFile(io.BytesIO(taken(watched.page, "Take towless-figures.zip")))
    assert {"datapackage.json", "dictionary.html", "recompute.py", "recompute.R", "lives.csv"} <= set(held.namelist())
    assert held.testzip() is None


def test_the_table_and_the_filters_stand_in_the_address(watched: Watched, address: str):
    watched.open(f"{address}/take-the-figures")
    page = watched.page
    page.get_by_label("Table").click()
    page.get_by_role("option", name="Lives of parts", exact=True).click()
    expect(page.get_by_role("button", name="Take lives.csv")).to_be_visible(timeout=60_000)
    assert "table=lives" in page.url
    assert watched.outside == []


def test_a_picture_leaves_as_png_and_svg(watched: Watched, address: str):
    watched.open(f"{address}/what-strands-us")
    page = watched.page
    page.get_by_role("button", name="The picture").first.click()
    assert taken(page, "Take as PNG").startswith(b"\x89PNG")
    assert b"per 1,000" in taken(page, "Take as SVG")
    assert watched.outside == []


@pytest.fixture(scope="module")
def long_table(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """A page that shows one table of a hundred thousand rows as ours do."""
    folder, port = tmp_path_factory.mktemp("long"), free_port()
    (folder / "long.py").write_text(LONG_TABLE)
    words = ["-m", "streamlit", "run", "long.py", "--server.headless", "true", "--server.port", str(port)]
    words += ["--server.address", THIS_MACHINE, "--browser.gatherUsageStats", "false"]
    home = str(Path(taking_away.__file__).parents[1])
    with (folder / "log").open("w") as log:
        server = subprocess.Popen(
            [sys.executable, *words], cwd=folder, stdout=log, stderr=subprocess.STDOUT, env=os.environ | {"PYTHONPATH": home}
        )
        try:
            waited_for(f"http://{THIS_MACHINE}:{port}", server, folder / "log")
            yield f"http://{THIS_MACHINE}:{port}"
        finally:
            server.terminate()
            server.wait(timeout=30)


def test_of_a_long_table_only_the_rows_looked_at_are_sent(browser: Browser, long_table: str):
    """A hundred thousand rows are 2.6 MB as they are held; sent are those on the screen and the ones beside them."""
    page = browser.new_page()
    sent: list[int] = []
    page.on("websocket", lambda socket: socket.on("framereceived", lambda frame: sent.append(len(frame))))
    page.goto(long_table)
    expect(page.locator('[data-testid="stDataFrame"] canvas').first).to_be_visible(timeout=60_000)
    page.wait_for_timeout(1_500)
    print(f"{sum(sent):,} bytes sent for {ROWS:,} rows")
    assert 0 < sum(sent) < 200_000
    page.close()
