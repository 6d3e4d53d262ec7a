-- fitted_positions: where parts are, by the fleet's own rules or else the catalogue's.
-- grain    one row per carrier, component and position
-- reads    derived.boats, engine_places; accepted.catalogue, engines, fitted
-- gives    carried_by, carrier_id;  position  empty: there is one;  source  fitted or catalogue
-- because  the part that never gave trouble is a long life: positions do not wait for a ticket. The catalogue speaks for components that
--          the fleet's records name and `fitted` does not, and only for engines whose drive and fuel are known where that matters.
with carriers as (
    select distinct 'engine' as carried_by, s.engine_id as carrier_id, s.engine_id, s.vessel_id,
           e.drive, e.fuel, e.engine_model, b.vessel_class
    from derived.engine_places s
    join accepted.engines e on e.engine_id = s.engine_id
    join derived.boats b on b.vessel_id = s.vessel_id
    union all
    select distinct 'vessel', b.vessel_id, s.engine_id, b.vessel_id, e.drive, e.fuel, e.engine_model, b.vessel_class
    from derived.boats b
    left join derived.engine_places s on s.vessel_id = b.vessel_id
    left join accepted.engines e on e.engine_id = s.engine_id
),
rules as (
    select f.component, coalesce(c.carried_by, 'engine') as carried_by,
           f.drive, f.fuel, f.engine_model, f.engine_id, f.vessel_class, f.vessel_id,
           unnest(string_split(coalesce(f.positions, ''), ';')) as position
    from accepted.fitted f
    left join accepted.catalogue c on c.component = f.component
),
by_rule as (
    select k.carried_by, k.carrier_id, r.component, nullif(trim(r.position), '') as position, 'fitted' as source
    from rules r
    join carriers k
      on k.carried_by = r.carried_by
     and (r.drive is null or r.drive = k.drive)
     and (r.fuel is null or r.fuel = k.fuel)
     and (r.engine_model is null or r.engine_model = k.engine_model)
     and (r.engine_id is null or r.engine_id = k.engine_id)
     and (r.vessel_class is null or r.vessel_class = k.vessel_class)
     and (r.vessel_id is null or r.vessel_id = k.vessel_id)
),
by_default as (
    select k.carried_by, k.carrier_id, c.component, cast(null as varchar) as position, 'catalogue' as source
    from accepted.catalogue c
    join carriers k
      on k.carried_by = coalesce(c.carried_by, 'engine')
     and (coalesce(c.drives, '') = '' or ';' || c.drives || ';' like '%;' || k.drive || ';%')
     and (coalesce(c.fuels, '') = '' or ';' || c.fuels || ';' like '%;' || k.fuel || ';%')
    left join (select distinct component from accepted.fitted) f on f.component = c.component
    where c.named and f.component is null
)
select carried_by, carrier_id, component, min(position) as position, source
from by_rule
group by carried_by, carrier_id, component, lower(position), source
union all
select distinct carried_by, carrier_id, component, position, source from by_default
