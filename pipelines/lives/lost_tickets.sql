-- lost_tickets: calls that name a part as failed and that no ticket follows.
-- grain    one row per call
-- reads    derived.calls_once, matches, numbered_positions
-- gives    position_no  empty: which of several cannot be told;  ending
-- because  the part failed and was surely renewed, but nobody wrote it down: a failure, doubtful, and a new life from then. Put right
--          aboard, it goes on.
with lost as (
    select c.row_id, c.vessel_id, c.engine_id, c.carried_by, c.carrier_id, c.part, c.called_on, c.cause, c.effect
    from derived.calls_once c
    join derived.matches m on m.call_row_id = c.row_id
    where m.certainty = 'none' and c.part is not null and c.effect in ('failure', 'outside damage')
      and coalesce(c.outcome, 'towed') not in ('fixed aboard', 'nothing done')
)
select l.row_id, l.vessel_id, l.engine_id, l.carried_by, l.part as component, l.called_on, l.cause,
       n.position_no, n.carrier_id is null and l.carrier_id is null as carrier_unknown,
       case when l.effect = 'outside damage' then 'outside damage' else 'failed' end as ending
from lost l
left join derived.numbered_positions n
  on n.carried_by = l.carried_by and n.carrier_id = l.carrier_id and n.component = l.part and n.like_parts = 1
