-- engine_places: where each engine sat, from when to when.
-- grain    one row per stay of an engine on a boat
-- reads    derived.parameters; accepted.engine_moves (each later one), engines (the first boat), vessels (withdrawn_on)
-- gives    from_on  first day there;  to_on  day it left, empty: still there on the last day known
-- because  a ticket or a call that names only the boat means the engine that sat there that day.
with engines as (
    select e.engine_id, e.vessel_id, e.place, e.commissioned_on, e.row_id,
           case when e.withdrawn_on <= p.as_of then e.withdrawn_on end as withdrawn_on
    from accepted.engines e cross join derived.parameters p
    where e.commissioned_on <= p.as_of
),
arrivals as (
    select engine_id, vessel_id, place, commissioned_on as from_on, 0 as move, row_id from engines
    union all
    select m.engine_id, m.vessel_id, m.place, greatest(m.moved_on, e.commissioned_on), 1, m.row_id
    from accepted.engine_moves m
    join engines e on e.engine_id = m.engine_id
    cross join derived.parameters p
    where m.moved_on <= p.as_of
),
ordered as (
    select *, lead(from_on) over (partition by engine_id order by from_on, move, row_id) as next_on
    from arrivals
),
ended as (
    select o.engine_id, o.vessel_id, o.place, o.from_on,
           least(o.next_on, e.withdrawn_on,
                 case when v.withdrawn_on > o.from_on and v.withdrawn_on <= p.as_of then v.withdrawn_on end) as to_on
    from ordered o
    join engines e on e.engine_id = o.engine_id
    cross join derived.parameters p
    left join accepted.vessels v on v.vessel_id = o.vessel_id
)
select engine_id, vessel_id, place, from_on, to_on
from ended
where to_on is null or to_on > from_on
