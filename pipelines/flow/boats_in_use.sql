-- boats_in_use: the boats that are here now, with their engines.
-- grain    one row per engine on a boat in service
-- reads    derived.engine_places, parameters; accepted.vessels, engines
-- gives    base, vessel_class, engine_model
-- because  spare boats are needed for those that can still break down.
select s.vessel_id, s.engine_id, v.base, v.vessel_class, e.engine_model
from derived.engine_places s
cross join derived.parameters p
join accepted.engines e on e.engine_id = s.engine_id
left join accepted.vessels v on v.vessel_id = s.vessel_id
where s.to_on is null and (v.withdrawn_on is null or v.withdrawn_on > p.as_of)
order by s.vessel_id, s.engine_id
