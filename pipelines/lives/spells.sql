-- spells: the time between one new part and the next at each position, as far as the records tell.
-- grain    one row per position and part that sat in it; spell 0 is the part that came with the engine or boat
-- reads    derived.carriers, findings, numbered_positions, turns; accepted.catalogue
-- gives    began_on, ended_on, ending;  sound_on  last day it was known to work by a look or test;  early_sound_on  the same near the start
--          of the records;  hidden
-- because  a part found failed at a look is down until it is renewed; a renewal that same day is the same find.
with starts as (
    select n.position_no, 0 as spell_no, c.born_on as began_on, c.row_id as began_row_id, false as after_lost
    from derived.numbered_positions n
    join derived.carriers c on c.carried_by = n.carried_by and c.carrier_id = n.carrier_id
    union all
    select position_no, turn_no, turn_on, row_id, lost from derived.turns
),
looks as (
    select position_no, on_date, 0 as turn, row_id from derived.findings
    union all
    select position_no, turn_on, 1, row_id from derived.turns
),
looks_in_spell as (
    select position_no, row_id, turn,
           sum(turn) over (
               partition by position_no order by on_date, turn, row_id rows between unbounded preceding and current row
           ) as spell_no
    from looks
),
found as (
    select s.position_no, s.spell_no, f.row_id, f.on_date, f.works, f.failed, f.cause, f.failed_on, f.call_row_id, t.turn_on, t.ended_on
    from looks_in_spell s
    join derived.findings f on f.position_no = s.position_no and f.row_id = s.row_id
    left join derived.turns t on t.position_no = s.position_no and t.turn_no = s.spell_no + 1
    where s.turn = 0
),
bad as (
    select position_no, spell_no, row_id, on_date, cause, failed_on, call_row_id
    from (
        select *, row_number() over (partition by position_no, spell_no order by on_date, row_id) as choice
        from found
        where failed and (turn_on is null or (on_date < turn_on and on_date < ended_on))
    ) finds
    where choice = 1
),
ended as (
    select s.position_no, s.spell_no, s.began_on, s.began_row_id, s.after_lost,
           n.carried_by, n.carrier_id, n.component, n.position, n.source,
           c.born_on, c.watched_from_on, c.vessel_id as last_vessel_id, c.end_on, c.gone, coalesce(k.hidden, false) as hidden,
           case when b.row_id is not null then coalesce(b.failed_on, b.on_date)
                when t.turn_no is not null then t.ended_on else c.end_on end as ended_on,
           case when b.failed_on is not null then 'failed' when b.row_id is not null then 'found failed'
                when t.turn_no is not null then t.ending when c.gone then 'withdrawn' else 'running' end as raw_ending,
           case when b.row_id is not null then coalesce(b.call_row_id, b.row_id)
                when t.turn_no is not null then t.end_row_id end as end_row_id,
           case when b.row_id is not null then b.row_id when t.turn_no is not null and not t.lost then t.row_id end as job_row_id,
           case when b.row_id is not null then b.call_row_id else t.call_row_id end as call_row_id,
           case when b.row_id is not null then b.cause else t.cause end as cause,
           s.after_lost or (b.row_id is null and coalesce(t.doubtful, false)) as doubtful,
           b.row_id is null and coalesce(t.first_fitting, false) as first_fitting_follows,
           b.row_id is null and coalesce(t.reason_not_given, false) as reason_not_given
    from starts s
    join derived.numbered_positions n on n.position_no = s.position_no
    join derived.carriers c on c.carried_by = n.carried_by and c.carrier_id = n.carrier_id
    left join accepted.catalogue k on k.component = n.component
    left join derived.turns t on t.position_no = s.position_no and t.turn_no = s.spell_no + 1
    left join bad b on b.position_no = s.position_no and b.spell_no = s.spell_no
),
sound as (
    select f.position_no, f.spell_no,
           max(f.on_date) as sound_on,
           min(case when abs(date_diff('day', e.watched_from_on, f.on_date)) <= 31 then f.on_date end) as early_sound_on
    from found f
    join ended e on e.position_no = f.position_no and e.spell_no = f.spell_no
    where f.works and f.on_date <= e.ended_on and f.on_date >= e.began_on
    group by f.position_no, f.spell_no
)
select e.*,
       case when e.hidden and e.raw_ending = 'failed' then 'found failed' else e.raw_ending end as ending,
       s.sound_on, s.early_sound_on
from ended e
left join sound s on s.position_no = e.position_no and s.spell_no = e.spell_no
