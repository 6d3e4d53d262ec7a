-- first_season: where season_round starts from: every month alike.
-- grain    one row per base and month of the year
-- reads    derived.boats, use_pieces
-- gives    rate, fleet_rate  mean engine hours per day of the fleet
-- because  months that no reading tells apart stay alike.
with months as (
    select unnest(generate_series(1, 12)) as month_of_year
),
stretches as (
    select engine_id, from_on, max(hours) as hours, sum(days) as days from derived.use_pieces group by engine_id, from_on
),
mean_rate as (
    select coalesce(sum(hours) / sum(days), 0.000001) as rate from stretches
)
select distinct b.base, cast(m.month_of_year as bigint) as month_of_year, a.rate, a.rate as fleet_rate
from derived.boats b cross join months m cross join mean_rate a
