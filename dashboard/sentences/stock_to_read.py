"""How to read the pictures of What to stock.

In: nothing. Out: Markdown. Elsewhere: the other pages (`how_to_read`).
"""

USE = """
**Bars:** the chance that exactly so many pieces are used. Full: what is here and coming covers it. In outline: it does not.
**Strokes:** what is here and coming, where to order, up to where.

- Pieces are whole; an average of 2.3 is no number that can be ordered.
- The doubt of few records is in the width of the bars.

[How it is worked out](how-it-is-worked-out#stock)
"""

RUNNING_OUT = """
The chance that what is here and coming has run out by the end of each month if nothing more is ordered, against the chance that is put
up with.

- It rises with the season: steep where the boats run most.

[How it is worked out](how-it-is-worked-out#stock)
"""

BUDGET = """
**Steps:** each buys the pack that spares most for its price. **Upright line:** the budget on the slider. **Crosses:** plain rules; the
curve above a cross is what the same money could do.

- The height is the share of what is asked for over the season that is on the shelf.

[How it is worked out](how-it-is-worked-out#stock)
"""

KIT_CURVE = """
The most tows that each sum of money spares on one boat, by the best whole set of items for that money. **◆ diamond:** the kit shown here.

- The best set for more money need not hold all of a smaller one.
- A tow counts as spared if the crew has the item and fits it; not every crew will.

[How it is worked out](how-it-is-worked-out#kit)
"""

KIT_TOWS = """
Every fault by its share of this type's tows; all shares add to one. **Full bars:** the kit covers it. **Pale bars:** something else has
to, named at the right. **In outline:** what never came to light is nobody's to cover.

- A fault is the part a call names, else its cause. Types of few calls borrow from the others.

[How it is worked out](how-it-is-worked-out#kit)
"""
