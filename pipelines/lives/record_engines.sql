-- record_engines: which engine and boat each ticket line and call is about.
-- grain    one row per accepted ticket line or call up to the last day known
-- reads    derived.boats, engine_places, engines_by_meter, parameters; accepted.catalogue, cause_tree, rescue_calls, service_tickets
-- gives    engine_id  named, or the one at that place, or the boat's only one then, or the one whose meter the ticket shows, or that of the
--          call it answers; empty: cannot be told;
--          vessel_id  where that engine sat, or the boat named; empty: not in the lists; engines_aboard  how many the boat had that day
-- because  call logs name boats, not engines, and engines move. A failed part of a twin is of the engine that a call of the last three
--          days named, if that call named this part or none and all such calls agree.
with records as (
    select t.row_id, t.engine_id, t.vessel_id, t.place, t.done_on as on_date
    from accepted.service_tickets t cross join derived.parameters p
    where t.done_on <= p.as_of
    union all
    select c.row_id, c.engine_id, c.vessel_id, null, cast(c.called_at as date)
    from accepted.rescue_calls c cross join derived.parameters p
    where cast(c.called_at as date) <= p.as_of
),
named as (
    select row_id, engine_id, vessel_id
    from (
        select r.row_id, s.engine_id, s.vessel_id,
               row_number() over (
                   partition by r.row_id
                   order by case when r.on_date >= s.from_on and (s.to_on is null or r.on_date < s.to_on) then 0 else 1 end,
                            case when r.on_date >= s.from_on then 0 else 1 end,
                            abs(date_diff('day', s.from_on, r.on_date)), s.vessel_id
               ) as choice
        from records r
        join derived.engine_places s on s.engine_id = r.engine_id
    ) stays
    where choice = 1
),
aboard as (
    select r.row_id, s.engine_id, coalesce(r.place = s.place, false) as same_place,
           s.to_on is null or r.on_date < s.to_on as still_there
    from records r
    join derived.engine_places s on s.vessel_id = r.vessel_id and s.from_on <= r.on_date and (s.to_on is null or r.on_date <= s.to_on)
),
called as (
    select c.vessel_id, c.engine_id, cast(c.called_at as date) as called_on,
           coalesce(nullif(c.component, 'uncoded'), nullif(t.component, '')) as part
    from accepted.rescue_calls c
    left join accepted.cause_tree t on t.cause = c.cause
    where c.engine_id is not null
),
answered as (
    select t.row_id, case when min(c.engine_id) = max(c.engine_id) then min(c.engine_id) end as engine_id
    from accepted.service_tickets t
    left join accepted.catalogue k on k.component = t.component
    join called c on c.vessel_id = t.vessel_id and date_diff('day', c.called_on, t.done_on) between 0 and 3
    where t.engine_id is null and t.place is null and coalesce(k.carried_by, 'engine') = 'engine'
      and t.action = 'renew' and (t.reason = 'failed' or t.finding in ('failed', 'outside damage'))
      and coalesce(c.part, t.component) = t.component
    group by t.row_id
),
counted as (
    select row_id,
           count(distinct case when still_there then engine_id end) as engines_aboard,
           count(distinct engine_id) as engines_near,
           min(case when still_there then engine_id end) as one_aboard,
           min(engine_id) as one_near,
           count(distinct case when still_there and same_place then engine_id end) as at_place,
           min(case when still_there and same_place then engine_id end) as one_at_place
    from aboard
    group by row_id
)
select r.row_id,
       case when n.engine_id is not null then n.engine_id
            when c.at_place = 1 then c.one_at_place
            when c.engines_aboard = 1 then c.one_aboard
            when c.engines_aboard = 0 and c.engines_near = 1 then c.one_near
            when c.engines_aboard > 1 then coalesce(m.engine_id, a.engine_id) end as engine_id,
       coalesce(n.vessel_id, b.vessel_id) as vessel_id,
       coalesce(c.engines_aboard, 0) as engines_aboard
from records r
left join named n on n.row_id = r.row_id
left join counted c on c.row_id = r.row_id
left join answered a on a.row_id = r.row_id
left join derived.engines_by_meter m on m.row_id = r.row_id
left join derived.boats b on b.vessel_id = r.vessel_id
