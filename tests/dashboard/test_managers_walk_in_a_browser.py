"""The manager's walk in a real browser: from the link to an adopted, printed plan in twelve touches at most."""

from pathlib import Path

from playwright.sync_api import Locator, expect

from pipelines.flow import copies, plan_history
from pipelines.terms.scope import Scope
from pipelines.terms.settings import Settings
from tests.support.browser import IN_A_BROWSER, Watched

pytestmark = IN_A_BROWSER
IMPELLER = "raw-water pump impeller"
MOST_TOUCHES = 12


def test_from_the_link_to_an_adopted_and_printed_plan(watched: Watched, own_ledger: Path, own_address: str):
    watched.open(f"{own_address}/when-to-renew?component={IMPELLER.replace(' ', '+')}")
    page, touches = watched.page, 0

    def touch(what: Locator) -> None:
        nonlocal touches
        touches += 1
        what.click()

    touch(page.get_by_text("Adopt an interval"))
    for label, words in (("Adopted by", "the manager"), ("Why", "winter review")):
        field = page.get_by_label(label, exact=True)
        touch(field)
        field.fill(words)
    touch(page.get_by_role("button", name="Adopt", exact=True))
    expect(page.get_by_text(f"Adopted: {IMPELLER}")).to_be_visible(timeout=90_000)
    touch(page.get_by_role("button", name="Print"))
    with page.expect_download(timeout=60_000) as waiting:
        touch(page.get_by_role("button", name="Intervals for signature (PDF)"))
    assert Path(waiting.value.path()).read_bytes().startswith(b"%PDF")
    assert touches <= MOST_TOUCHES
    with copies.current_copy(own_ledger, Settings()) as copy:
        kept = plan_history.adoptions(copy, Scope(component=IMPELLER), Settings()).rows.row(0, named=True)
    assert (kept["adopted_by"], kept["state"]) == ("the manager", "in force")
    assert kept["figures"]
