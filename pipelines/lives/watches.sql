-- watches: from when to when the records of each boat can be trusted to be whole.
-- grain    one row per boat
-- reads    derived.boats, record_engines; accepted.rescue_calls, service_tickets
-- gives    tickets_from_on, calls_from_on  first day, never before the boat was in service; empty: there are no such records
-- because  a boat's own first ticket conditions on an event, so the first of its base counts; where the base is that one boat, the fleet's.
--          A line that says when a part was fitted may be dated back, so it does not start the records.
with dated as (
    select r.vessel_id, b.base, t.done_on as ticket_on, cast(null as date) as call_on
    from accepted.service_tickets t
    join derived.record_engines r on r.row_id = t.row_id
    join derived.boats b on b.vessel_id = r.vessel_id
    where t.action <> 'fit'
    union all
    select r.vessel_id, b.base, null, cast(c.called_at as date)
    from accepted.rescue_calls c
    join derived.record_engines r on r.row_id = c.row_id
    join derived.boats b on b.vessel_id = r.vessel_id
),
shared_bases as (
    select base from derived.boats where base is not null group by base having count(*) > 1
),
of_base as (
    select d.base, min(d.ticket_on) as ticket_on, min(d.call_on) as call_on
    from dated d
    join shared_bases s on s.base = d.base
    group by d.base
),
of_fleet as (
    select min(ticket_on) as ticket_on, min(call_on) as call_on from dated
)
select b.vessel_id,
       case when coalesce(b.tickets_from_on, o.ticket_on, f.ticket_on) is not null
            then greatest(b.born_on, coalesce(b.tickets_from_on, o.ticket_on, f.ticket_on)) end as tickets_from_on,
       case when coalesce(b.calls_from_on, o.call_on, f.call_on) is not null
            then greatest(b.born_on, coalesce(b.calls_from_on, o.call_on, f.call_on)) end as calls_from_on
from derived.boats b
cross join of_fleet f
left join of_base o on o.base = b.base
