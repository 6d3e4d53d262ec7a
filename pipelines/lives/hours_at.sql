-- hours_at: the hours of each engine on each day wanted.
-- grain    one row per engine and day of derived.hours_wanted
-- reads    derived.clean_hours, hours_beside, season_calendar; accepted.engines
-- gives    hours  engine hours since commissioning, empty: unknown;  source  same-day reading, trips, interpolated or beyond readings
-- because  where the trip log covers what the meters show, it says which days the hours were run. Else hours between two readings rise as
--          the engine's season says (in a straight line where no reading tells the months apart), beyond the last at its seasonal rate. An
--          engine whose meter was never read has unknown hours, not zero.
with read_engines as (
    select engine_id from derived.clean_hours where source <> 'commissioned' group by engine_id
),
usual as (
    select h.engine_id, h.on_date,
           c.before_h + c.hours_per_day * date_diff('day', c.month, h.on_date)
           - b.before_h - b.hours_per_day * date_diff('day', b.month, h.before_on) as since_h,
           a.before_h + a.hours_per_day * date_diff('day', a.month, h.after_on)
           - b.before_h - b.hours_per_day * date_diff('day', b.month, h.before_on) as across_h
    from derived.hours_beside h
    join derived.season_calendar c on c.engine_id = h.engine_id and c.month = cast(date_trunc('month', h.on_date) as date)
    join derived.season_calendar b on b.engine_id = h.engine_id and b.month = cast(date_trunc('month', h.before_on) as date)
    left join derived.season_calendar a on a.engine_id = h.engine_id and a.month = cast(date_trunc('month', h.after_on) as date)
    where h.before_on < h.on_date
),
shared as (
    select h.engine_id, h.on_date, h.before_on, h.before_h, h.after_on, h.after_h, h.by_trips, u.since_h,
           case when h.after_on > h.before_on
                then coalesce(u.since_h / nullif(u.across_h, 0),
                              date_diff('day', h.before_on, h.on_date) * 1.0 / date_diff('day', h.before_on, h.after_on)) end as share
    from derived.hours_beside h
    left join usual u on u.engine_id = h.engine_id and u.on_date = h.on_date
)
select s.engine_id, s.on_date,
       case when r.engine_id is null then null
            when s.before_on = s.on_date then s.before_h
            when s.before_on is null then case when e.commissioned_on = s.after_on then s.after_h end
            when s.after_on is null then s.before_h + s.since_h
            else s.before_h + (s.after_h - s.before_h) * s.share end as hours,
       case when r.engine_id is null then null
            when s.before_on = s.on_date and s.by_trips then 'trips'
            when s.before_on = s.on_date then 'same-day reading'
            when s.after_on is null then 'beyond readings'
            when s.before_on is not null or e.commissioned_on = s.after_on then 'interpolated' end as source
from shared s
join accepted.engines e on e.engine_id = s.engine_id
left join read_engines r on r.engine_id = s.engine_id
