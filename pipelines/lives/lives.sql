-- lives: every stay of a part in a position that can be counted.
-- grain    one row per life
-- reads    derived.life_ages
-- gives    age zero at fitting; low = high: failed at that age; high empty: had not failed; low below high: failed between; low_h empty:
--          hours unknown
-- because  every curve, interval and stock figure is made from these rows and no others.
select life_id,
       case when carried_by = 'engine' then carrier_id end as engine_id, last_vessel_id as vessel_id, component, position,
       began_on, ended_on, entry_h, low_h, high_h, entry_months, low_months, high_months,
       ending, doubtful, case when ending in ('failed', 'found failed', 'condition', 'outside damage') then cause end as cause,
       began_h, case when low_h is not null then hours_source end as hours_source,
       engine_model, drive, fuel, base, vessel_class, water
from derived.life_ages
where left_out is null
