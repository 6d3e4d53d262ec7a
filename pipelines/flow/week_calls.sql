-- week_calls: the rescue calls of some days.
-- grain    one row per accepted call, the latest first
-- reads    accepted.rescue_calls, vessels, engines; derived.calls
-- gives    words as written where nobody coded them; cause  empty: not known;  base, vessel_class, engine_model  as they were then, where counted
-- because  a call is asked about the morning after, whether or not its boat was ever listed; so calls that no rate counts are told too.
select c.row_id, c.call_id, cast(c.called_at as date) as called_on, c.vessel_id, v.name, coalesce(c.engine_id, d.engine_id) as engine_id,
       case when c.symptom = 'uncoded' then c.symptom_as_written else c.symptom end as symptom,
       case when c.cause = 'uncoded' then c.cause_as_written when c.cause <> 'unknown' then c.cause end as cause,
       case when c.component = 'uncoded' then c.component_as_written else c.component end as component,
       c.outcome, coalesce(d.base, v.base) as base, coalesce(d.vessel_class, v.vessel_class) as vessel_class,
       coalesce(d.engine_model, e.engine_model) as engine_model
from accepted.rescue_calls c
left join accepted.vessels v on v.vessel_id = c.vessel_id
left join derived.calls d on d.row_id = c.row_id
left join accepted.engines e on e.engine_id = c.engine_id
where cast(c.called_at as date) between $since and $until
order by c.called_at desc, c.row_id desc
