-- slip_round: the readings after one more look for slips.
-- grain    one row per reading of derived.meter_readings
-- reads    derived.engine_pace, meter_believed (what the round before left; at first all readings)
-- gives    reason  why it is not believed; empty: it is
-- because  a reading that cannot follow the one before, or be followed by the one after, while those two can follow each other, is a slip
--          of the pen (or of the date). Of two that accuse each other the one goes that is further from the line between its neighbours;
--          where they are alike, a call's before a ticket's before a reading taken for its own sake.
with beside as (
    select b.engine_id, b.segment, b.reading_no, b.on_date, b.meter_h, b.source, p.short_limit, p.long_limit,
           lag(b.on_date) over reading as before_on, lag(b.meter_h) over reading as before_h,
           lead(b.on_date) over reading as after_on, lead(b.meter_h) over reading as after_h
    from derived.meter_believed b
    join derived.engine_pace p on p.engine_id = b.engine_id
    where b.reason is null
    window reading as (partition by b.engine_id, b.segment order by b.reading_no)
),
spaced as (
    select *,
           date_diff('day', before_on, on_date) as days_before, date_diff('day', on_date, after_on) as days_after,
           date_diff('day', before_on, after_on) as days_across
    from beside
),
checked as (
    select *,
           case when meter_h between before_h - 1
                                 and before_h + (days_before + 1) * case when days_before < 30 then short_limit else long_limit end
                then 0 else 1 end as follows_badly,
           case when after_h between meter_h - 1
                                 and meter_h + (days_after + 1) * case when days_after < 30 then short_limit else long_limit end
                then 0 else 1 end as is_followed_badly,
           after_h between before_h - 1 and before_h + (days_across + 1) * case when days_across < 30 then short_limit else long_limit end
           as neighbours_agree,
           abs(meter_h - before_h - (after_h - before_h) * days_before / nullif(days_across, 0)) as distance_h
    from spaced
    where before_on is not null and after_on is not null
),
accused as (
    select engine_id, segment, reading_no,
           row_number() over (
               partition by engine_id, segment
               order by follows_badly + is_followed_badly desc, floor(coalesce(distance_h, 0)) desc,
                        case source when 'call' then 0 when 'ticket' then 1 else 2 end, reading_no desc
           ) as rank
    from checked
    where neighbours_agree and follows_badly + is_followed_badly > 0
),
compared as (
    select b.engine_id, b.reading_no, a.rank,
           lag(a.rank) over reading as rank_before, lead(a.rank) over reading as rank_after
    from beside b
    left join accused a on a.engine_id = b.engine_id and a.reading_no = b.reading_no
    window reading as (partition by b.engine_id, b.segment order by b.reading_no)
)
select b.engine_id, b.segment, b.reading_no, b.on_date, b.meter_h, b.source, b.row_id, b.changed, b.turn,
       case when b.reason is null and c.rank < least(coalesce(c.rank_before, c.rank + 1), coalesce(c.rank_after, c.rank + 1))
            then 'contradicted by the readings before and after'
            else b.reason end as reason
from derived.meter_believed b
left join compared c on c.engine_id = b.engine_id and c.reading_no = b.reading_no
