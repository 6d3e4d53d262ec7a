-- outings: days on which an engine was surely used.
-- grain    one row per trip or rescue call and engine that was on the boat then
-- reads    accepted.trips; derived.calls, engine_places
-- gives    engine_id, on_date
-- because  an engine whose boat goes out is not laid up, whatever its meter shows.
with went as (
    select vessel_id, cast(out_at as date) as on_date, cast(null as varchar) as engine_id from accepted.trips
    union all
    select vessel_id, called_on, engine_id from derived.calls
)
select p.engine_id, w.on_date
from went w
join derived.engine_places p
  on p.vessel_id = w.vessel_id and p.from_on <= w.on_date and (p.to_on is null or p.to_on > w.on_date)
 and (w.engine_id is null or w.engine_id = p.engine_id)
