-- boat_engines: the engines that are or were in one boat.
-- grain    one row per stay of an engine in the boat, those that are there now first
-- reads    derived.engine_places, clean_hours; accepted.engines
-- gives    hours, read_on  last trusted engine hours since commissioning and their day; to_on  empty: still there
-- because  engines move between boats and take their hours along.
select p.engine_id, p.place, e.engine_model, e.drive, e.fuel, e.commissioned_on, p.from_on, p.to_on, h.hours, h.on_date as read_on
from derived.engine_places p
left join accepted.engines e on e.engine_id = p.engine_id
left join (
    select engine_id, on_date, hours, row_number() over (partition by engine_id order by on_date desc) as from_last
    from derived.clean_hours
    where source <> 'commissioned'
) h on h.engine_id = p.engine_id and h.from_last = 1
where p.vessel_id = $boat
order by p.to_on is not null, p.to_on desc, p.place, p.engine_id
