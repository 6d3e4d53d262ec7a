"""How many boats are out of use at once: Poisson whatever the downtimes' distribution, wider for what is in doubt.

In: the expected number out of use, and how sure it is. Out: `BoatsDown`: its distribution, the spare boats it takes, days short of them.
Elsewhere: where the expected number comes from (`spare_boats`).

Notes
-----
If stoppages come as a Poisson process, the number of boats out of use at a moment is Poisson with the mean rate times mean downtime,
whatever the distribution of downtimes: Palm's theorem [1]_, the base of stock models for what is repaired [2]_ [3]_. It holds for a rate
that changes through the year too, averaged over the last downtimes [4]_; downtimes of a day or two are short beside a month. The expected
number is itself in doubt: a gamma distribution, so that the number is negative binomial. A boat that is down cannot fail again, which
lowers the number a little; that is left out, and a test holds how little it is.

References
----------
.. [1] Palm, C. (1938). Analysis of the Erlang traffic formulae for busy-signal arrangements. Ericsson Technics 6, 39-58.
.. [2] Feeney, G. J. and Sherbrooke, C. C. (1966). The (s-1, s) inventory policy under compound Poisson demand. Management Science 12(5),
   391-411.
.. [3] Sherbrooke, C. C. (2004). Optimal Inventory Modeling of Systems, 2nd ed. Kluwer, chapter 2.
.. [4] Crawford, G. B. (1981). Palm's theorem for nonstationary processes. RAND R-2750.
"""

from dataclasses import dataclass
from functools import cached_property

from pipelines.advice.counts import NOTHING, Demand, gamma_poisson, poisson

_SURE = 1e-6


@dataclass(frozen=True)
class BoatsDown:
    """Boats out of use at a moment.

    Attributes
    ----------
    mean
        Expected number, 0 or more.
    spread
        Squared coefficient of variation of what is believed of `mean`; 0: it is sure.
    boats
        Boats there are; no more can be down.
    """

    mean: float
    spread: float
    boats: int

    @cached_property
    def number(self) -> Demand:
        """Distribution of the number out of use."""
        if self.mean <= 0:
            return NOTHING
        return poisson(self.mean) if self.spread < _SURE else gamma_poisson(1 / self.spread, 1 / (self.spread * self.mean), 1.0)

    def spares_for(self, chance: float) -> int:
        """Fewest spare boats that replace every boat that is down at a moment, with so much chance at least."""
        return min(self.number.quantile(chance), self.boats)

    def chance_enough(self, spares: int) -> float:
        """Chance that so many spare boats replace every boat that is down at a moment."""
        return 1.0 if spares >= self.boats else self.number.chance_up_to(spares)

    def short(self, spares: int) -> float:
        """Return the expected number of boats that are down and not replaced by so many spare boats."""
        return 0.0 if spares >= self.boats else self.number.shortfall(spares)
