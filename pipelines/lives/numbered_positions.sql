-- numbered_positions: every position, those known only from tickets too, with a number.
-- grain    one row per carrier, component and position
-- reads    derived.fitted_positions, placed_lines
-- gives    position_no;  source  fitted, catalogue or ticket;  like_parts  positions of that component on that carrier
-- because  a ticket may name a part where no rule puts one. Where tickets tell several like parts apart and only the catalogue's single
--          default stood there, the tickets are believed.
with words as (
    select carried_by, carrier_id, component, min(position_named) as position
    from derived.placed_lines
    where problem is null and position_named is not null
    group by carried_by, carrier_id, component, lower(position_named)
),
told as (
    select carried_by, carrier_id, component, count(*) as positions from words group by carried_by, carrier_id, component
),
ruled as (
    select carried_by, carrier_id, component, max(source) as source from derived.fitted_positions group by carried_by, carrier_id, component
),
kept as (
    select f.carried_by, f.carrier_id, f.component, f.position, f.source
    from derived.fitted_positions f
    left join told t on t.carried_by = f.carried_by and t.carrier_id = f.carrier_id and t.component = f.component
    where f.source = 'fitted' or coalesce(t.positions, 0) < 2
),
added as (
    select w.carried_by, w.carrier_id, w.component, w.position, 'ticket' as source
    from words w
    join told t on t.carried_by = w.carried_by and t.carrier_id = w.carrier_id and t.component = w.component
    left join ruled r on r.carried_by = w.carried_by and r.carrier_id = w.carrier_id and r.component = w.component
    where r.source is null or (r.source = 'catalogue' and t.positions > 1)
    union all
    select distinct l.carried_by, l.carrier_id, l.component, cast(null as varchar), 'ticket'
    from derived.placed_lines l
    left join told t on t.carried_by = l.carried_by and t.carrier_id = l.carrier_id and t.component = l.component
    left join ruled r on r.carried_by = l.carried_by and r.carrier_id = l.carrier_id and r.component = l.component
    where l.problem is null and t.component is null and r.component is null
),
every as (
    select * from kept
    union all
    select * from added
)
select row_number() over (order by carried_by, carrier_id, component, position) as position_no,
       carried_by, carrier_id, component, position, source,
       count(*) over (partition by carried_by, carrier_id, component) as like_parts
from every
