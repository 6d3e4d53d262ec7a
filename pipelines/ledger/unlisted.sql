-- unlisted: engines and boats that rows of an import name and that no list of engines or boats holds.
-- grain    one row per sort of thing (engine, boat) that is named and not listed
-- reads    received.rows, held.engines, held.vessels and the kinds that name them; $import, the import
-- gives    rows, ids: how many rows name how many of them; example, one id
-- because  a ticket on an engine that is in no list has no life and no hours: most often a slip in its number, or the list was not sent.
with told as (
    select row_id from received.rows where import_id = $import and fate = 'accepted'
),
named as (
    select 'engine' as what, engine_id as id from held.service_tickets semi join told using (row_id)
    union all select 'engine', engine_id from held.hour_readings semi join told using (row_id)
    union all select 'engine', engine_id from held.rescue_calls semi join told using (row_id)
    union all select 'engine', engine_id from held.engine_moves semi join told using (row_id)
    union all select 'boat', vessel_id from held.service_tickets semi join told using (row_id)
    union all select 'boat', vessel_id from held.rescue_calls semi join told using (row_id)
    union all select 'boat', vessel_id from held.trips semi join told using (row_id)
),
listed as (
    select 'engine' as what, engine_id as id from held.engines union all select 'boat', vessel_id from held.vessels
)
select what, count(*) as rows, count(distinct id) as ids, min(id) as example
from named anti join listed using (what, id)
where id is not null
group by what
order by what desc
