-- boats: every boat that is listed or carries an engine; where no boat is listed at all, those that called.
-- grain    one row per boat
-- reads    derived.engine_places, parameters; accepted.engines, rescue_calls, vessels
-- gives    born_on  first day in service, else its first engine's first day;  withdrawn_on  empty: still here; engine_model, drive, fuel
--          where all its engines agree
-- because  boats that never break down have no rows of their own, yet their hours count.
with of_engines as (
    select s.vessel_id, min(s.from_on) as first_on,
           case when min(e.engine_model) = max(e.engine_model) then min(e.engine_model) end as engine_model,
           case when min(e.drive) = max(e.drive) then min(e.drive) end as drive,
           case when min(e.fuel) = max(e.fuel) then min(e.fuel) end as fuel
    from derived.engine_places s
    join accepted.engines e on e.engine_id = s.engine_id
    group by s.vessel_id
),
listed as (
    select vessel_id from accepted.vessels
    union
    select vessel_id from of_engines
    union
    select vessel_id from accepted.rescue_calls
    where not exists (select 1 from accepted.vessels) and not exists (select 1 from accepted.engines)
)
select l.vessel_id, v.row_id, v.base, v.vessel_class, v.water,
       coalesce(v.in_service_on, f.first_on) as born_on,
       case when v.withdrawn_on <= p.as_of then v.withdrawn_on end as withdrawn_on,
       v.tickets_from_on, v.calls_from_on,
       f.engine_model, f.drive, f.fuel
from listed l
cross join derived.parameters p
left join accepted.vessels v on v.vessel_id = l.vessel_id
left join of_engines f on f.vessel_id = l.vessel_id
