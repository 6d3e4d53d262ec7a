-- hours_wanted: the days on which an engine's hours are needed.
-- grain    one row per engine and day
-- reads    derived.boats, calendar, engine_places, parameters, record_engines, watches; accepted.engines, rescue_calls, service_tickets
-- gives    on_date  day of a ticket, a call, a move, the start of the records, the first of a month, the last day known and the day after
-- because  all hours are looked up once, in one pass over the readings.
with days as (
    select t.row_id, t.done_on as on_date from accepted.service_tickets t
    union all
    select c.row_id, cast(c.called_at as date) from accepted.rescue_calls c
),
of_records as (
    select r.engine_id, r.vessel_id, d.on_date from days d join derived.record_engines r on r.row_id = d.row_id
),
of_boats as (
    select s.engine_id, o.on_date
    from of_records o
    join derived.engine_places s on s.vessel_id = o.vessel_id
    where o.on_date >= s.from_on and (s.to_on is null or o.on_date <= s.to_on)
),
of_stays as (
    select s.engine_id, s.from_on, s.to_on, b.born_on, w.tickets_from_on, w.calls_from_on
    from derived.engine_places s
    join derived.boats b on b.vessel_id = s.vessel_id
    join derived.watches w on w.vessel_id = s.vessel_id
),
of_months as (
    select s.engine_id, c.month, c.next_month
    from (select engine_id, min(from_on) as from_on from derived.engine_places group by engine_id) s
    join derived.calendar c on c.next_month > s.from_on
)
select engine_id, on_date from of_records where engine_id is not null
union select engine_id, on_date from of_boats
union select engine_id, from_on from of_stays
union select engine_id, to_on from of_stays where to_on is not null
union select engine_id, born_on from of_stays where born_on is not null
union select engine_id, tickets_from_on from of_stays where tickets_from_on is not null
union select engine_id, calls_from_on from of_stays where calls_from_on is not null
union select engine_id, month from of_months
union select engine_id, next_month from of_months
union select e.engine_id, p.as_of from accepted.engines e cross join derived.parameters p
union select e.engine_id, cast(p.as_of + interval 1 day as date) from accepted.engines e cross join derived.parameters p
