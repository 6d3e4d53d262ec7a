-- meter_hours: every believed reading as engine hours since commissioning.
-- grain    one row per believed reading of derived.meter_readings
-- reads    derived.meter_believed; accepted.engines
-- gives    hours  added up across meter changes, never falling
-- because  a meter that was replaced or reset starts again, the engine does not. What ran while nobody read the old meter is taken at the
--          pace just before and after, and is no less than what the new meter shows. A drop of less than a day that leaves more than half
--          is a late entry, not a new meter.
with steps as (
    select b.engine_id, b.reading_no, b.segment, b.on_date, b.meter_h, b.source, b.row_id, b.changed, b.turn,
           lag(b.segment) over reading as last_segment, lag(b.on_date) over reading as last_on,
           lag(b.meter_h) over reading as last_h, lag(b.turn) over reading as last_turn,
           lag(b.on_date, 2) over reading as earlier_on, lag(b.meter_h, 2) over reading as earlier_h,
           lead(b.on_date) over reading as next_on, lead(b.meter_h) over reading as next_h
    from derived.meter_believed b
    where b.reason is null
    window reading as (partition by b.engine_id order by b.reading_no)
),
paced as (
    select *,
           date_diff('day', last_on, on_date) as days,
           case when last_h >= earlier_h and date_diff('day', earlier_on, last_on) > 0
                then least((last_h - earlier_h) / date_diff('day', earlier_on, last_on), 24) end as pace_before,
           case when next_h >= meter_h and date_diff('day', on_date, next_on) > 0
                then least((next_h - meter_h) / date_diff('day', on_date, next_on), 24) end as pace_after
    from steps
),
estimated as (
    select *,
           days * coalesce((pace_before + pace_after) / 2, pace_before, pace_after, 0) as expected_h,
           meter_h between least(last_h - 1, greatest(last_h - 24, last_h / 2)) and last_h + 24 * (days + 1) as goes_on
    from paced
),
gained as (
    select e.*,
           case when e.last_on is null then greatest(e.meter_h - coalesce(g.commissioned_h, 0), 0)
                when e.segment = e.last_segment and e.goes_on then e.meter_h - e.last_h
                when e.changed and e.last_turn = 1 and e.days = 0 then 0
                when e.changed and e.goes_on then e.meter_h - e.last_h
                when e.changed then e.expected_h
                when e.meter_h <= 24 * (e.days + 1) then greatest(e.meter_h, e.expected_h)
                else e.expected_h end as gained_h
    from estimated e
    join accepted.engines g on g.engine_id = e.engine_id
),
summed as (
    select *, sum(gained_h) over (partition by engine_id order by reading_no rows between unbounded preceding and current row) as sum_h
    from gained
)
select engine_id, reading_no, on_date, meter_h, source, row_id,
       max(sum_h) over (partition by engine_id order by reading_no rows between unbounded preceding and current row) as hours
from summed
