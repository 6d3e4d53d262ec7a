-- lost_tickets: calls that tell of a failed part and that no ticket of a known engine follows.
-- grain    one row per call
-- reads    derived.calls_once, match_jobs, matches, numbered_positions
-- gives    position_no  empty: which of several cannot be told;  ending
-- because  the part failed and was surely renewed, but nobody wrote it down, or not on which engine: a failure, doubtful, and a new life
--          from then. Put right aboard, it goes on.
with lost as (
    select c.row_id, c.vessel_id, c.engine_id, c.called_on, c.cause,
           coalesce(c.part, j.component) as part,
           coalesce(c.carried_by, j.carried_by) as carried_by,
           case when c.part is not null then c.carrier_id else c.engine_id end as carrier_id,
           case when c.part is not null then c.effect when j.finding = 'outside damage' then 'outside damage' else 'failure' end as effect
    from derived.calls_once c
    join derived.matches m on m.call_row_id = c.row_id
    left join derived.match_jobs j on j.row_id = m.ticket_row_id
    where coalesce(c.outcome, 'towed') not in ('fixed aboard', 'nothing done')
      and ((m.certainty = 'none' and c.part is not null)
           or (m.certainty = 'certain' and j.position_no is null and j.says = 'failed'))
)
select l.row_id, l.vessel_id, l.engine_id, l.carried_by, l.part as component, l.called_on, l.cause,
       n.position_no, n.carrier_id is null and l.carrier_id is null as carrier_unknown,
       case when l.effect = 'outside damage' then 'outside damage' else 'failed' end as ending
from lost l
left join derived.numbered_positions n
  on n.carried_by = l.carried_by and n.carrier_id = l.carrier_id and n.component = l.part and n.like_parts = 1
where l.effect in ('failure', 'outside damage')
