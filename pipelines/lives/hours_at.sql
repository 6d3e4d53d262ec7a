-- hours_at: the hours of each engine on each day wanted.
-- grain    one row per engine and day of derived.hours_wanted
-- reads    derived.hours_beside, clean_hours, engine_season
-- gives    hours  engine hours since commissioning, empty: unknown;  source  same-day reading, interpolated or beyond readings
-- because  between readings hours are linear; beyond the last they go on at the engine's own seasonal rate. An engine whose meter was never
--          read has unknown hours, not zero.
with read_engines as (
    select engine_id from derived.clean_hours where source <> 'commissioned' group by engine_id
),
beyond as (
    select h.engine_id, h.on_date,
           h.before_h
           + (extract(year from h.on_date) - extract(year from h.before_on)) * d.year_h
           + d.before_h + (extract(day from h.on_date) - 1) * d.hours_per_day
           - b.before_h - (extract(day from h.before_on) - 1) * b.hours_per_day as hours
    from derived.hours_beside h
    join derived.engine_season d on d.engine_id = h.engine_id and d.month_of_year = extract(month from h.on_date)
    join derived.engine_season b on b.engine_id = h.engine_id and b.month_of_year = extract(month from h.before_on)
    where h.after_on is null and h.before_on is not null
)
select h.engine_id, h.on_date,
       case when r.engine_id is null then null
            when h.before_on = h.on_date then h.before_h
            when h.before_on is null then case when e.commissioned_on = h.after_on then h.after_h end
            when h.after_on is null then greatest(b.hours, h.before_h)
            else h.before_h + (h.after_h - h.before_h) * date_diff('day', h.before_on, h.on_date) / date_diff('day', h.before_on, h.after_on)
       end as hours,
       case when r.engine_id is null then null
            when h.before_on = h.on_date then 'same-day reading'
            when h.after_on is null then 'beyond readings'
            when h.before_on is not null or e.commissioned_on = h.after_on then 'interpolated' end as source
from derived.hours_beside h
join accepted.engines e on e.engine_id = h.engine_id
left join read_engines r on r.engine_id = h.engine_id
left join beyond b on b.engine_id = h.engine_id and b.on_date = h.on_date
