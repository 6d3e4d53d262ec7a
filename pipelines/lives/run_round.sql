-- run_round: the readings after one more look at runs of them.
-- grain    one row per reading of derived.meter_readings
-- reads    derived.engine_pace, meter_believed (what slip_round left)
-- gives    reason  why it is not believed; empty: it is
-- because  readings that can follow each other form a run; a run that its neighbours contradict, while they agree with one another and are
--          no shorter, is one slip written several times. A lone reading that nothing confirms is set aside too; a drop that later readings
--          confirm stays. A few rounds are enough, since each takes away the clearest slips of every engine.
with standing as (
    select b.*, p.short_limit, p.long_limit,
           lag(b.on_date) over reading as last_on,
           lag(b.meter_h) over reading as last_h
    from derived.meter_believed b
    join derived.engine_pace p on p.engine_id = b.engine_id
    where b.reason is null
    window reading as (partition by b.engine_id, b.segment order by b.reading_no)
),
stepped as (
    select *, date_diff('day', last_on, on_date) as days from standing
),
numbered as (
    select *,
           sum(case when last_on is null
                      or meter_h between last_h - 1
                                     and last_h + (days + 1) * case when days < 30 then short_limit else long_limit end
                    then 0 else 1 end)
               over (partition by engine_id, segment order by reading_no rows between unbounded preceding and current row) as run_no
    from stepped
),
runs as (
    select engine_id, segment, run_no, count(*) as readings,
           min(on_date) as from_on, max(on_date) as to_on, min(meter_h) as from_h, max(meter_h) as to_h,
           max(short_limit) as short_limit, max(long_limit) as long_limit
    from numbered
    group by engine_id, segment, run_no
),
beside as (
    select *,
           lag(readings) over run as readings_before, lead(readings) over run as readings_after,
           lag(to_on) over run as before_on, lag(to_h) over run as before_h,
           lead(from_on) over run as after_on, lead(from_h) over run as after_h
    from runs
    window run as (partition by engine_id, segment order by run_no)
),
bridged as (
    select *,
           readings <= least(readings_before, readings_after)
           and after_h between before_h - 1
                           and before_h + (date_diff('day', before_on, after_on) + 1)
                                          * case when date_diff('day', before_on, after_on) < 30 then short_limit else long_limit end
           as slip,
           abs(from_h - (before_h + after_h) / 2) as distance_h
    from beside
),
ranked as (
    select *,
           case when slip
                then row_number() over (
                         partition by engine_id, segment
                         order by case when slip then 0 else 1 end, readings,
                                  readings_before + readings_after desc, distance_h desc, run_no
                     ) end as slip_rank
    from bridged
),
compared as (
    select *,
           lag(slip_rank) over run as rank_before, lead(slip_rank) over run as rank_after
    from ranked
    window run as (partition by engine_id, segment order by run_no)
),
lonely as (
    select *,
           slip_rank is null and rank_before is null and rank_after is null and readings = 1
           and coalesce(readings_before, readings_after) is not null
           and (readings_before is not null or readings_after > 1) as alone
    from compared
),
judged as (
    select engine_id, segment, run_no,
           case when slip_rank < least(coalesce(rank_before, slip_rank + 1), coalesce(rank_after, slip_rank + 1))
                then 'contradicted by the readings before and after'
                when alone and readings_before is null then 'contradicted by the readings that follow'
                when alone and not coalesce(lag(alone) over run, false) and readings_after is null then 'not confirmed by a later reading'
                when alone and not coalesce(lag(alone) over run, false) then 'contradicted by the readings before and after' end as reason
    from lonely
    window run as (partition by engine_id, segment order by run_no)
),
marked as (
    select n.engine_id, n.reading_no, j.reason
    from numbered n
    join judged j on j.engine_id = n.engine_id and j.segment = n.segment and j.run_no = n.run_no
)
select b.engine_id, b.segment, b.reading_no, b.on_date, b.meter_h, b.source, b.row_id, b.changed, b.turn,
       coalesce(b.reason, m.reason) as reason
from derived.meter_believed b
left join marked m on m.engine_id = b.engine_id and m.reading_no = b.reading_no
