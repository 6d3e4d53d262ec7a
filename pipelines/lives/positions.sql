-- positions: every part as fitted in one place.
-- grain    one row per carrier, component and position
-- reads    derived.boats, carriers, engine_places, numbered_positions; accepted.engines
-- gives    hours_engine_id  the engine whose hours it lives on: its own, or the boat's only one now, empty: months only; assumed  not from
--          the fleet's own rules;  source  fitted, catalogue or ticket
-- because  what is due, stocked and at risk is counted over positions, whether or not a ticket names them.
with only_engines as (
    select vessel_id, min(engine_id) as engine_id
    from derived.engine_places
    where to_on is null
    group by vessel_id
    having count(distinct engine_id) = 1
)
select case when n.carried_by = 'engine' then n.carrier_id end as engine_id,
       c.vessel_id, n.component, n.position, n.carried_by,
       case when n.carried_by = 'engine' then n.carrier_id else o.engine_id end as hours_engine_id,
       n.source <> 'fitted' as assumed,
       case when n.carried_by = 'engine' then e.engine_model else b.engine_model end as engine_model,
       case when n.carried_by = 'engine' then e.drive else b.drive end as drive,
       case when n.carried_by = 'engine' then e.fuel else b.fuel end as fuel,
       b.base, b.vessel_class, b.water, n.source
from derived.numbered_positions n
join derived.carriers c on c.carried_by = n.carried_by and c.carrier_id = n.carrier_id
join derived.boats b on b.vessel_id = c.vessel_id
left join only_engines o on o.vessel_id = c.vessel_id
left join accepted.engines e on n.carried_by = 'engine' and e.engine_id = n.carrier_id
