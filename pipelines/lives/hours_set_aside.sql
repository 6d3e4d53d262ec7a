-- hours_set_aside: what was read off a meter and is not believed.
-- grain    one row per reading set aside
-- reads    derived.meter_believed
-- gives    meter_h  what was written;  reason  why;  before_, after_  the believed readings of the same meter beside it;  believed_meter_h
--          what it would have shown on the line between them;  looks_like  the slip, where it can be told
-- because  nothing is dropped silently: a person can put the reading right, and sees what to.
with beside as (
    select engine_id, segment, reading_no, on_date, meter_h, reason, row_id, source,
           max(case when reason is null then reading_no end) over up_to as before_no,
           min(case when reason is null then reading_no end) over from_then as after_no
    from derived.meter_believed
    window up_to as (partition by engine_id, segment order by reading_no rows between unbounded preceding and current row),
           from_then as (partition by engine_id, segment order by reading_no rows between current row and unbounded following)
),
placed as (
    select m.engine_id, m.on_date, m.meter_h, m.reason, m.row_id, m.source,
           b.on_date as before_on, b.meter_h as before_h, a.on_date as after_on, a.meter_h as after_h
    from beside m
    left join derived.meter_believed b on b.engine_id = m.engine_id and b.reading_no = m.before_no
    left join derived.meter_believed a on a.engine_id = m.engine_id and a.reading_no = m.after_no
    where m.reason is not null
),
told as (
    select *,
           before_h + (after_h - before_h)
           * coalesce(date_diff('day', before_on, on_date) * 1.0 / nullif(date_diff('day', before_on, after_on), 0), 0) as believed_meter_h
    from placed
)
select engine_id, on_date, meter_h, reason, row_id, source, before_on, before_h, after_on, after_h,
       round(believed_meter_h, 1) as believed_meter_h,
       case when meter_h between before_h - 1 and after_h + 1 then null
            when meter_h / 10 between before_h - 1 and after_h + 1 and meter_h > 20 then 'a lost decimal point'
            when meter_h * 10 between before_h - 1 and after_h + 1 and before_h > 20 then 'a decimal point too far left' end as looks_like
from told
