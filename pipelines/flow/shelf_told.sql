-- shelf_told: every part on every shelf, with what was last done to it by hand.
-- grain    one row per part and base that counts
-- reads    accepted.parts, catalogue; about.rows, imports
-- gives    last_change  such as 'counted 4', empty: the row came in a file; last_because, last_by  why, who; since_on  day the list was true
-- because  whoever counts wants to know who counted last.
select p.row_id, p.part_id, p.component, c.label, p.engine_model, p.base, p.supplier, p.on_hand, coalesce(p.on_order, 0) as on_order,
       p.quantity_per_fit,
       json_extract_string(p.extra, '$.shelf_change') as last_change, json_extract_string(p.extra, '$.shelf_because') as last_because,
       coalesce(try_cast(json_extract_string(p.extra, '$.shelf_on') as date), cast(i.taken_at as date)) as since_on, i.taken_by as last_by
from accepted.parts p
left join accepted.catalogue c on c.component = p.component
left join about.rows r on r.row_id = p.row_id
left join about.imports i on i.import_id = r.import_id
order by p.base nulls last, p.component, p.part_id
