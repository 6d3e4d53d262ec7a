-- left_out_of_lives: what could not be used, and why.
-- grain    one row per position, row or life that could not be used
-- reads    derived.call_lines, calls, calls_once, carriers, job_lines, jobs, life_ages, lost_tickets, placed_lines, record_engines;
--          accepted.rescue_calls
-- gives    reason;  row_id  where one row is to blame
-- because  nothing is silent: what is missing from a figure is counted beside it.
with lines as (
    select l.row_id, l.engine_id, l.vessel_id, l.component, l.position_named, l.problem
    from derived.placed_lines l
    where l.problem is not null
),
unplaced as (
    select l.row_id, l.engine_id, l.vessel_id, l.component, l.position_named
    from derived.placed_lines l
    left join derived.job_lines j on j.row_id = l.row_id
    where l.problem is null and j.row_id is null
),
said_again as (
    select l.row_id, l.engine_id, l.vessel_id, l.component, l.position_named
    from derived.job_lines l
    join derived.jobs j on j.position_no = l.position_no and j.work = l.work and j.job_no = l.job_no and j.row_id <> l.row_id
),
too_late as (
    select j.row_id, j.engine_id, j.vessel_id, j.component
    from derived.jobs j
    join derived.carriers c on c.carried_by = j.carried_by and c.carrier_id = j.carrier_id
    where j.done_on > c.end_on
)
select case when carried_by = 'engine' then carrier_id end as engine_id, last_vessel_id as vessel_id, component, position,
       left_out as reason, cast(null as bigint) as row_id
from derived.life_ages where left_out is not null
union all
select engine_id, vessel_id, component, position_named, problem, row_id from lines
union all
select engine_id, vessel_id, component, position_named, 'which of several like parts it means cannot be told', row_id from unplaced
union all
select engine_id, vessel_id, component, position_named, 'the same job is written on another line and counted there', row_id from said_again
union all
select engine_id, vessel_id, component, null, 'it is dated after its engine or boat left the fleet', row_id from too_late
union all
select c.engine_id, c.vessel_id, c.part, null, 'the same call is logged on another row and counted there', c.row_id
from derived.call_lines c where c.row_id <> c.first_row_id
union all
select t.engine_id, t.vessel_id, t.component, null,
       'the call names a part that failed and no ticket follows, but which engine or position it was cannot be told', t.row_id
from derived.lost_tickets t where t.position_no is null
union all
select null, c.vessel_id, null, null, 'the boat of this call is not in the lists', r.row_id
from derived.record_engines r
join accepted.rescue_calls c on c.row_id = r.row_id
where r.vessel_id is null
union all
select c.engine_id, c.vessel_id, c.part, null,
       'the call came on a day when the calls of its boat are not watched, so it is in no rate', c.row_id
from derived.calls_once c
left join derived.calls k on k.row_id = c.row_id
where c.vessel_id is not null and k.row_id is null
