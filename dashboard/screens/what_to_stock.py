"""What to stock: what to order, what lies on the shelf, one part, what a budget buys, what boats carry, and counting the shelf."""

from dashboard import shelves
from dashboard.controls.filters import UNSEASONED, scope_of_page
from dashboard.controls.kit_view import kit_view
from dashboard.controls.pickers import pick_horizon, row_of_pickers
from dashboard.controls.shelf_form import shelf_form
from dashboard.controls.showing import foot, head, nothing_here
from dashboard.controls.stock_views import Shown, budget_view, order_view, part_view, pick_level, pick_view, shelf_view
from dashboard.shelves import Wish

NOTHING = "No part is on the shelf list here. Take in `parts`: what is on hand, the lead time and the price of each, by base."

head("What to stock", "What must be ordered now, what lies where, what would more money buy, and what should boats carry?")
view = pick_view()
with row_of_pickers():
    wish = Wish(pick_horizon(), pick_level()) if view not in ("kit", "form") else shelves.usual_wish()
    scope = scope_of_page(UNSEASONED)
answer = shelves.stock(scope, wish)
shown = Shown(answer, scope, wish, answer.extra.get("currency") or "")
if view == "kit":
    kit_view(scope, wish)
elif view == "form":
    shelf_form(scope.base, answer.rows)
elif answer.rows.is_empty():
    nothing_here(NOTHING)
else:
    {"order": order_view, "shelf": shelf_view, "part": part_view, "budget": budget_view}[view](shown)
foot(answer, advises=True)
