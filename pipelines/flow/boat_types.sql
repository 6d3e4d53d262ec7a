-- boat_types: the class of each boat in service and the models of the engines in it.
-- grain    one row per boat that is in service on a day
-- reads    accepted.vessels, engines; derived.engine_places
-- gives    models  the different models, comma and space between, in alphabetical order; empty: no engine is listed or none has a model
-- because  what a boat should carry goes by what it is and what drives it; a twin of one model is of that model.
select v.vessel_id, v.vessel_class, v.base, string_agg(distinct e.engine_model, ', ' order by e.engine_model) as models
from accepted.vessels v
left join derived.engine_places p on p.vessel_id = v.vessel_id and p.to_on is null
left join accepted.engines e on e.engine_id = p.engine_id and (e.withdrawn_on is null or e.withdrawn_on > $day)
where v.withdrawn_on is null or v.withdrawn_on > $day
group by v.vessel_id, v.vessel_class, v.base
order by v.vessel_id
