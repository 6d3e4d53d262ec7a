-- shelf_told: every part on every shelf, with what was last done to it by hand and what jobs since took.
-- grain    one row per part and base that counts
-- reads    accepted.parts, catalogue, service_tickets, engines, vessels; derived.engine_places; about.rows, imports
-- gives    last_change  such as 'counted 4', empty: the row came in a file; last_because, last_by  why, who; since_on  day the list was true;
--          used  pieces that jobs written down after that day took: on boats of that base and engines of that model, where the shelf is for one
-- because  whoever counts wants to know who counted last, and a count that differs is explained by what was fitted since or has to be told.
with jobs as (
    select t.component, t.done_on, e.engine_model, v.base
    from accepted.service_tickets t
    left join derived.engine_places p
      on p.engine_id = t.engine_id and p.from_on <= t.done_on and (p.to_on is null or p.to_on > t.done_on)
    left join accepted.vessels v on v.vessel_id = coalesce(t.vessel_id, p.vessel_id)
    left join accepted.engines e on e.engine_id = t.engine_id
    where t.action in ('fit', 'renew')
),
stands as (
    select p.*, i.taken_by,
           coalesce(try_cast(json_extract_string(p.extra, '$.shelf_on') as date), cast(i.taken_at as date)) as since_on
    from accepted.parts p
    left join about.rows r on r.row_id = p.row_id
    left join about.imports i on i.import_id = r.import_id
),
taken as (
    select s.row_id, count(*) as renewals
    from stands s
    join jobs j on j.component = s.component and j.done_on > s.since_on
               and (s.engine_model is null or j.engine_model = s.engine_model) and (s.base is null or j.base = s.base)
    group by s.row_id
)
select s.row_id, s.part_id, s.component, c.label, s.engine_model, s.base, s.supplier, s.on_hand, coalesce(s.on_order, 0) as on_order,
       json_extract_string(s.extra, '$.shelf_change') as last_change, json_extract_string(s.extra, '$.shelf_because') as last_because,
       s.since_on, s.taken_by as last_by,
       cast(round(coalesce(t.renewals, 0) * coalesce(s.quantity_per_fit, 1)) as bigint) as used
from stands s
left join accepted.catalogue c on c.component = s.component
left join taken t on t.row_id = s.row_id
order by s.base nulls last, s.component, s.part_id
