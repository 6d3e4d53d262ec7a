-- carriers: the life of everything that carries parts.
-- grain    one row per engine and per boat
-- reads    derived.boats, engine_places, parameters, watches; accepted.engines
-- gives    born_on  parts were new then;  end_on, gone  the day it left the fleet, or the last day known; watched_from_on  its tickets can
--          be trusted to be whole from here on;  vessel_id  the last boat
-- because  a life begins, is watched and ends with what carries it.
with stays as (
    select s.engine_id, s.vessel_id, s.to_on, w.tickets_from_on,
           case when w.tickets_from_on is not null then greatest(s.from_on, w.tickets_from_on) end as watched_on,
           row_number() over (partition by s.engine_id order by s.from_on desc) as from_last
    from derived.engine_places s
    join derived.watches w on w.vessel_id = s.vessel_id
),
watched as (
    select engine_id, min(case when to_on is null or to_on > watched_on then watched_on end) as watched_from_on
    from stays
    group by engine_id
)
select 'engine' as carried_by, e.engine_id as carrier_id, s.vessel_id, e.row_id,
       e.commissioned_on as born_on,
       coalesce(s.to_on, p.as_of) as end_on, s.to_on is not null as gone, w.watched_from_on
from accepted.engines e
cross join derived.parameters p
join stays s on s.engine_id = e.engine_id and s.from_last = 1
join watched w on w.engine_id = e.engine_id
union all
select 'vessel', b.vessel_id, b.vessel_id, b.row_id, b.born_on,
       coalesce(b.withdrawn_on, p.as_of), b.withdrawn_on is not null, w.tickets_from_on
from derived.boats b
cross join derived.parameters p
join derived.watches w on w.vessel_id = b.vessel_id
where b.born_on <= p.as_of
