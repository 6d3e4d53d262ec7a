-- used_since: renewals written down after a day that took a part off a shelf.
-- grain    one row
-- reads    accepted.service_tickets, engines, vessels; derived.engine_places; $component, $model and $base (empty: any), $since
-- gives    renewals  jobs after that day that fitted or renewed the part, on boats of that base and engines of that model
-- because  a count that differs from the list is explained by what was fitted since, or it is a difference to be told.
select count(*) as renewals
from accepted.service_tickets t
left join derived.engine_places p on p.engine_id = t.engine_id and p.from_on <= t.done_on and (p.to_on is null or p.to_on > t.done_on)
left join accepted.vessels v on v.vessel_id = coalesce(t.vessel_id, p.vessel_id)
left join accepted.engines e on e.engine_id = t.engine_id
where t.component = $component and t.action in ('fit', 'renew') and t.done_on > $since
  and ($model is null or e.engine_model = $model) and ($base is null or v.base = $base)
