-- turns: every time a position got a new part, in order.
-- grain    one row per position and new part
-- reads    derived.carriers, lost_tickets, numbered_positions, renewals
-- gives    turn_no  1, 2, …;  turn_on  the new part went in;  ended_on, ending  the old life's end;  lost  no ticket says so
-- because  a renewal within thirty days of a call whose ticket seemed lost is that ticket, written late: one failure, not two.
with every as (
    select position_no, row_id, done_on as turn_on, ended_on, ending, call_row_id, end_row_id, cause,
           first_fitting, reason_not_given, doubtful, false as lost
    from derived.renewals
    union all
    select position_no, row_id, called_on, called_on, ending, row_id, row_id, cause, false, false, true, true
    from derived.lost_tickets
    where position_no is not null
),
within as (
    select e.*
    from every e
    join derived.numbered_positions n on n.position_no = e.position_no
    join derived.carriers c on c.carried_by = n.carried_by and c.carrier_id = n.carrier_id
    where e.turn_on <= c.end_on
),
beside as (
    select *,
           lag(lost) over turn as after_lost, lag(turn_on) over turn as last_on, lag(row_id) over turn as last_row_id,
           lag(ending) over turn as last_ending, lag(cause) over turn as last_cause,
           lead(lost) over turn as lost_next, lead(turn_on) over turn as next_on, lead(call_row_id) over turn as next_call_row_id
    from within
    window turn as (partition by position_no order by turn_on, case when lost then 0 else 1 end, row_id)
),
joined as (
    select *,
           coalesce(after_lost and not lost and call_row_id is null and date_diff('day', last_on, turn_on) <= 30, false) as late_ticket,
           coalesce(lost and not lost_next and next_call_row_id is null and date_diff('day', turn_on, next_on) <= 30, false) as ticket_found
    from beside
),
kept as (
    select position_no, row_id, turn_on, lost, first_fitting and not late_ticket as first_fitting,
           reason_not_given and not late_ticket as reason_not_given,
           case when late_ticket then last_on else ended_on end as ended_on,
           case when late_ticket then last_ending else ending end as ending,
           case when late_ticket then last_row_id else call_row_id end as call_row_id,
           case when late_ticket then last_row_id else end_row_id end as end_row_id,
           case when late_ticket then coalesce(cause, last_cause) else cause end as cause,
           doubtful or late_ticket as doubtful
    from joined
    where not ticket_found
),
ordered as (
    select *,
           row_number() over turn as turn_no, lag(turn_on) over turn as last_turn_on
    from kept
    window turn as (partition by position_no order by turn_on, row_id)
)
select position_no, turn_no, row_id, turn_on, lost, first_fitting, reason_not_given, ending, call_row_id, cause, doubtful,
       case when ended_on < last_turn_on then turn_on else ended_on end as ended_on,
       case when ended_on < last_turn_on then row_id else end_row_id end as end_row_id
from ordered
