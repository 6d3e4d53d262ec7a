-- fitted_now: what sits in each position on the last day known.
-- grain    one row per position of an engine or boat still in the fleet
-- reads    derived.life_ages, parameters, spells
-- gives    fitted_on  empty: not known;  age_h, age_months  on the last day known;  down  found failed and not renewed yet
-- because  what is due counts from the part that is in there now, also where its life is too young or too unsure to be counted.
select case when a.carried_by = 'engine' then a.carrier_id end as engine_id, a.last_vessel_id as vessel_id, a.component, a.position,
       a.carried_by, a.hours_engine_id,
       case when a.fitting_known then a.began_on end as fitted_on,
       case when a.fitting_known and a.hours_known and a.ending = 'running' then round(a.ended_at_h - a.began_h, 4) end as age_h,
       case when a.fitting_known then round(date_diff('day', a.began_on, p.as_of) / 30.4375, 4) end as age_months,
       a.ending <> 'running' as down,
       a.engine_model, a.drive, a.fuel, a.base, a.vessel_class, a.water
from derived.life_ages a
cross join derived.parameters p
join (select position_no, max(spell_no) as spell_no from derived.spells group by position_no) l
  on l.position_no = a.position_no and l.spell_no = a.spell_no
where not a.gone
