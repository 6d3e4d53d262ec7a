-- season_round: how much an engine of each base runs a day in each month of the year, after one more round.
-- grain    one row per base and month of the year
-- reads    derived.season (the round before; at first every month alike), use_pieces
-- gives    rate, fleet_rate  engine hours per day, of the base and of the whole fleet, for an engine of usual use
-- because  the hours of a stretch are shared among its months as the round before says they are run, and the months counted again
--          (expectation-maximisation; Dempster, Laird & Rubin 1977). Each engine counts by its own level of use, so that a busy engine that
--          came in June does not make June look busy. Two hundred engines of a base are
--          enough; a base with few days leans on the fleet (ninety days' worth).
with shared as (
    select p.engine_id, p.base, p.month_of_year, p.days, s.rate,
           p.hours * p.days * s.rate / sum(p.days * s.rate) over (partition by p.engine_id, p.from_on) as hours
    from derived.use_pieces p
    join derived.season s on s.base is not distinct from p.base and s.month_of_year = p.month_of_year
    where p.engine_no <= 200
),
levelled as (
    select base, month_of_year, hours,
           days * sum(hours) over (partition by engine_id) / sum(days * rate) over (partition by engine_id) as usual_days
    from shared
),
of_base as (
    select base, month_of_year, sum(hours) as hours, sum(usual_days) as days from levelled group by base, month_of_year
),
of_fleet as (
    select month_of_year, sum(hours) / nullif(sum(days), 0) as rate from of_base group by month_of_year
)
select s.base, s.month_of_year,
       greatest((coalesce(o.hours, 0) + 90 * coalesce(f.rate, s.fleet_rate)) / (coalesce(o.days, 0) + 90), 0.000001) as rate,
       coalesce(f.rate, s.fleet_rate) as fleet_rate
from derived.season s
left join of_base o on o.base is not distinct from s.base and o.month_of_year = s.month_of_year
left join of_fleet f on f.month_of_year = s.month_of_year
