-- match_delays: how many days after a call its job is dated.
-- grain    one row per delay of 0 to 3 days, and one for all longer ones
-- reads    derived.match_pairs
-- gives    share  of breakdowns
-- because  one yard mends on the day and another types its tickets a week later. Told by the fleet's own calls that name the part of a job
--          that says failed, beside a usual yard that counts as twenty of them (common practice, no source).
with usual as (
    select 0 as delay, 9.0 as pairs union all select 1, 5.0 union all select 2, 2.5 union all select 3, 1.0 union all select 4, 2.5
),
sure as (
    select call_row_id, min(delay) as delay from derived.match_pairs where named and says = 'failed' and not put_right group by call_row_id
),
seen as (
    select delay, count(*) as pairs from sure group by delay
)
select u.delay, (u.pairs + coalesce(s.pairs, 0)) / sum(u.pairs + coalesce(s.pairs, 0)) over () as share
from usual u
left join seen s on s.delay = u.delay
